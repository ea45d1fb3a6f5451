import { HELD_STATES, type HeldFilter, type HeldState, REASONS, type Reason } from "../../ingest/index.ts";
import { HttpError } from "../errors.ts";

/** Which held rows the intake page shows, as its address says it. */
export interface IntakeQuery {
  readonly site: string | null;
  readonly file: string | null;
  readonly reason: Reason | null;
  readonly unit: string | null;
  readonly state: HeldState;
  /** 1 is the first. */
  readonly page: number;
}

/** @throws {HttpError} 400 for a reason, state or page that does not exist. */
export function readIntakeQuery(query: Readonly<Record<string, unknown>>): IntakeQuery {
  const text = (key: string): string | null => {
    const value = query[key];
    return typeof value === "string" && value !== "" ? value : null;
  };
  const page = Number(text("page") ?? "1");
  if (!Number.isSafeInteger(page) || page < 1) {
    throw new HttpError(400, "There is no such page.", "Pages are numbered from 1.");
  }
  return {
    site: text("site"),
    file: text("file"),
    reason: oneOf("reason", text("reason"), REASONS),
    unit: text("unit"),
    state: oneOf("state", text("state"), HELD_STATES) ?? "held",
    page,
  };
}

/** The same as an address: only what differs from the plain page. */
export function intakeAddress(query: Partial<IntakeQuery>): string {
  const words = new URLSearchParams(intakeFields(query).map(([name, value]) => [name, value]));
  if (query.page && query.page > 1) words.set("page", String(query.page));
  const text = words.toString();
  return text === "" ? "/intake" : `/intake?${text}`;
}

/** What a form takes along so that it leads back to the same rows. */
export function intakeFields(query: Partial<IntakeQuery>): (readonly [string, string])[] {
  const { site, file, reason, unit, state } = query;
  const fields = { site, file, reason, unit, state: state === "held" ? null : state };
  return Object.entries(fields).flatMap(([name, value]) => (value ? [[name, value] as const] : []));
}

export function heldFilter({ site, file, reason, unit, state }: IntakeQuery): HeldFilter {
  return {
    state,
    site: site ?? undefined,
    file: file ?? undefined,
    reason: reason ?? undefined,
    instrument: unit ?? undefined,
  };
}

function oneOf<T extends string>(key: string, value: string | null, allowed: readonly T[]): T | null {
  if (value === null) return null;
  const found = allowed.find((candidate) => candidate === value);
  if (found !== undefined) return found;
  throw new HttpError(
    400,
    `There is no ${key} called \u201c${value}\u201d.`,
    `In this address, ${key} can be ${allowed.join(", ")}.`,
  );
}
