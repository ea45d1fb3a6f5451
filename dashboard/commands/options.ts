import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { type Command, Option } from "commander";
import { openStore, type Store, StoreError } from "../../ingest/index.ts";
import { isoOfDay } from "../assessment/days.ts";
import type { CommandContext } from "./context.ts";
import { UsageError } from "./errors.ts";

export const DEFAULT_STORE = "sqlite:springtide.sqlite";

export interface StoreOption {
  readonly store?: string;
}

export interface JsonOption {
  readonly json?: true;
}

export interface AsOfOption {
  readonly asOf?: string;
}

export function addStoreOption(
  command: Command,
  otherwise = `or SPRINGTIDE_STORE in the environment; else ${DEFAULT_STORE}`,
): Command {
  return command.addOption(new Option("--store <URL>", `where the data is: sqlite:FILE (${otherwise})`));
}

export function byWorkersOption(): Option {
  return new Option(
    "--by-workers",
    "have it done by the `springtide work` processes of a PostgreSQL store, and wait for them",
  );
}

export function addJsonOption(command: Command): Command {
  return command.option("--json", "one JSON document on standard output, and nothing else");
}

export function addAsOfOption(command: Command): Command {
  return command.option(
    "--as-of <DATE>",
    "use only what was known at the end of this day, UTC (default: today)",
  );
}

/**
 * Opens the store that the call names, hands it over and closes it whatever happens.
 *
 * @param mode A command that only reads must not leave an empty store behind where the name was mistyped; a rehearsal
 *   without a store has an empty one elsewhere, which is gone after it.
 */
export async function withStore<T>(
  context: CommandContext,
  option: StoreOption,
  mode: "create" | "existing" | "rehearse",
  use: (store: Store) => Promise<T>,
): Promise<T> {
  const url = option.store ?? (context.env.SPRINGTIDE_STORE || DEFAULT_STORE);
  const onWait = () =>
    context.say(
      `springtide: another process is writing the store ${withoutPassword(url)}; waiting for it, a minute at most while nothing moves.`,
    );
  const rehearsal = mode === "rehearse" ? await mkdtemp(join(tmpdir(), "springtide-rehearsal-")) : null;
  try {
    const store = await openStore(url, { create: mode === "create", onWait }).catch((error: unknown) => {
      if (rehearsal === null || !(error instanceof StoreError) || error.code !== "no-store") throw error;
      return openStore(`sqlite:${join(rehearsal, "store.sqlite")}`);
    });
    try {
      return await use(store);
    } finally {
      await store.close();
    }
  } finally {
    if (rehearsal !== null) await rm(rehearsal, { recursive: true });
  }
}

function withoutPassword(url: string): string {
  return url.replace(/^(postgres(?:ql)?:\/\/[^:@/]*):[^@/]*@/, "$1@");
}

/** The `--as-of` day as an ISO date; today (UTC) where left out. */
export function asOfDay(context: CommandContext, option: AsOfOption): string {
  if (option.asOf === undefined) return isoOfDay(context.now() / 86_400_000);
  return isoDate("--as-of", option.asOf);
}

/** @throws {UsageError} for anything but a day that exists, written like 2026-03-31. */
export function isoDate(name: string, text: string): string {
  const time = /^\d{4}-\d{2}-\d{2}$/.test(text) ? Date.parse(text) : Number.NaN;
  if (Number.isNaN(time) || new Date(time).toISOString().slice(0, 10) !== text) {
    throw new UsageError(`${name} takes a date like 2026-03-31, got "${text}"`);
  }
  return text;
}

/** @throws {UsageError} for anything but a whole number from 0 to 65535. */
export function portNumber(name: string, text: string): number {
  const port = /^\d{1,5}$/.test(text) ? Number(text) : Number.NaN;
  if (!(port <= 65_535)) throw new UsageError(`${name} takes a whole number from 0 to 65535, got "${text}"`);
  return port;
}
