import type { Store } from "../../ingest/index.ts";
import { isoOfDay } from "../assessment/days.ts";
import { isoWeekOf, mondayOfIsoWeek } from "../assessment/iso-weeks.ts";
import { bookingsStanding, keptReport } from "../assessment/kept-bookings.ts";
import type { CommandContext } from "./context.ts";
import { CommandError, UsageError } from "./errors.ts";
import { type JsonOption, type StoreOption, withStore } from "./options.ts";
import { personName } from "./person-name.ts";

interface KeepOptions extends StoreOption, JsonOption {
  readonly keep: readonly string[];
  readonly release: readonly string[];
  readonly why?: string;
  readonly by?: string;
}

/** Keeps weeks for units and releases others, all or none. */
export async function keepBookings(context: CommandContext, options: KeepOptions): Promise<void> {
  const why = options.why?.trim() ?? "";
  if (why === "")
    throw new UsageError("--keep and --release need --why, the reason for whoever reads it later");
  const by = personName(options.by);
  const nowMs = context.now();
  const today = isoOfDay(nowMs / 86_400_000);
  const keep = options.keep.map((text) => unitAndWeek("--keep", text));
  for (const [instrument, week] of keep) {
    if (week < isoWeekOf(nowMs / 86_400_000))
      throw new CommandError(`--keep: ${week} is over, so ${instrument} cannot leave in it.`);
  }
  const kept = await withStore(context, options, "existing", async (store) => {
    await checkUnits(store, [...keep.map(([instrument]) => instrument), ...options.release]);
    const standing = await bookingsStanding(store, today);
    for (const instrument of options.release) {
      if (!standing.has(instrument)) throw new CommandError(`--release: no week is kept for ${instrument}.`);
    }
    const decisions: [string, string | null][] = [
      ...keep,
      ...options.release.map((instrument): [string, null] => [instrument, null]),
    ];
    await store.bookings.add(
      decisions.map(([instrument, week]) => ({ instrument, week, madeAtMs: nowMs, by, why })),
    );
    return bookingsStanding(store, today);
  });
  const lines = [
    ...keep.map(([instrument, week]) => `${week} is kept for ${instrument}.`),
    ...options.release.map((instrument) => `${instrument} is left to the plan again.`),
  ];
  context.print(options.json ? `${JSON.stringify({ kept: keptReport(kept) })}\n` : `${lines.join("\n")}\n`);
}

async function checkUnits(store: Store, named: readonly string[]): Promise<void> {
  const known = new Set((await store.instruments()).map(({ instrument }) => instrument));
  const strange = named.find((instrument) => !known.has(instrument));
  if (strange !== undefined)
    throw new CommandError(`no unit is called "${strange}": springtide forecast lists them`);
}

/** "U-0042=2026-W20". @throws {UsageError} for anything else. */
export function unitAndWeek(name: string, text: string): [string, string] {
  const at = text.lastIndexOf("=");
  if (at < 1) throw new UsageError(`${name} takes a unit and a week like U-0042=2026-W20, got "${text}"`);
  return [text.slice(0, at), isoWeek(name, text.slice(at + 1))];
}

export function isoWeek(name: string, text: string): string {
  const week = text.trim();
  if (mondayOfIsoWeek(week) === null) {
    throw new UsageError(`${name} takes weeks like 2026-W14, got "${text}"`);
  }
  return week;
}
