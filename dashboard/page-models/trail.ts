import type { Trail, TrailEntry, TrailFilter } from "../../ingest/index.ts";
import type { FigureRow } from "../tables/csv.ts";

/** One part of the trail, the newest entries first. */
export interface TrailPage {
  readonly entries: readonly TrailEntry[];
  readonly total: number;
  readonly asked: TrailQuestion;
  readonly pages: number;
}

/** What of the trail is asked for. */
export interface TrailQuestion {
  readonly who: string;
  readonly about: string;
  /** 1 is the newest. */
  readonly page: number;
}

const ENTRIES_A_PAGE = 100;

/** Reads what the address asks for; whatever it does not say clearly is left open. */
export function trailQuestion(query: Readonly<Record<string, unknown>>): TrailQuestion {
  const text = (name: string) => {
    const value = query[name];
    return typeof value === "string" ? value.trim() : "";
  };
  const page = Number(text("page"));
  return {
    who: text("who"),
    about: text("about"),
    page: Number.isSafeInteger(page) && page > 0 ? page : 1,
  };
}

export async function trailPage(trail: Trail, asked: TrailQuestion): Promise<TrailPage> {
  const filter: TrailFilter = {
    ...(asked.who !== "" && { who: asked.who }),
    ...(asked.about !== "" && { about: asked.about }),
  };
  const total = await trail.count(filter);
  const pages = Math.max(1, Math.ceil(total / ENTRIES_A_PAGE));
  const page = Math.min(asked.page, pages);
  const part = { offset: (page - 1) * ENTRIES_A_PAGE, limit: ENTRIES_A_PAGE, newestFirst: true };
  return { entries: await trail.list(filter, part), total, asked: { ...asked, page }, pages };
}

/** Where a part of the trail is. */
export function trailAddress({ who, about, page }: TrailQuestion, format?: "json" | "csv"): string {
  const query = new URLSearchParams();
  if (who !== "") query.set("who", who);
  if (about !== "") query.set("about", about);
  if (page > 1) query.set("page", String(page));
  if (format !== undefined) query.set("format", format);
  return query.size === 0 ? "/trail" : `/trail?${query}`;
}

/** "2026-11-25 18:32", UTC. */
export function minuteOf(atMs: number): string {
  return new Date(atMs).toISOString().slice(0, 16).replace("T", " ");
}

/** An entry for programs: what was before and after as the values that they are. */
export function entryReport(entry: TrailEntry) {
  const { number, atMs, who, way, action, about, site, before, after, previous, hash } = entry;
  const value = (json: string | null): unknown => (json === null ? null : JSON.parse(json));
  const at = new Date(atMs).toISOString();
  return {
    number,
    at,
    who,
    way,
    action,
    about,
    site,
    before: value(before),
    after: value(after),
    previous,
    hash,
  };
}

/** The same as a row; what was before and after as the JSON that the hash was made of. */
export function entryRow({ atMs, number, ...rest }: TrailEntry): FigureRow {
  return { number, at: new Date(atMs).toISOString(), ...rest };
}
