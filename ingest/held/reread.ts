import { canonicalNames } from "../columns/canonical-names.ts";
import { readingSets } from "../columns/reading-sets.ts";
import { IngestError } from "../errors.ts";
import type { RecordBatch } from "../read-records.ts";
import { readingContext } from "../readings/draft.ts";
import { RangeConstants } from "../readings/range-constants.ts";
import { ReadingJudge } from "../readings/reading-judge.ts";
import { ReadingTaker } from "../readings/reading-taker.ts";
import { registerTaker } from "../registers/register-taker.ts";
import { Tally } from "../report.ts";
import type { HeldAction, HeldDecision, HeldRow, Mend } from "../store/held.ts";
import type { QuarantinedRow, Store } from "../store/store.ts";
import { type WayOfReading, wayOf } from "../way-of-reading.ts";
import { RowsWithinSites } from "../within-sites.ts";
import type { HeldPlace } from "./held-place.ts";
import { mendedBatch } from "./mended-record.ts";

/** Who acts, when and why. */
export interface Acting {
  readonly by: string;
  readonly why: string;
  readonly nowMs: number;
  /** The sites whose units a row may be about when it is read again; null: all. */
  readonly sites: readonly string[] | null;
}

/**
 * Reads a held row again, with new values where given, by the checks that rows of files go through.
 *
 * @remarks
 * All that the row says comes in, or nothing: where anything still stands against it, it stays held, and what was tried
 * is on record. New values are added to those of earlier mends.
 *
 * @param action "replaced" lets it take the place of a stored reading that says something else.
 * @returns The decision as recorded.
 * @throws {IngestError} "not-held" where the row is settled, "no-way" where it is not known how it was read,
 *   "unknown-column" where a new value is for a column that such files do not have, "other-site" where what it says now
 *   is about another site than who acts may bring in.
 */
export async function reread(
  store: Store,
  row: HeldRow,
  action: Extract<HeldAction, "mended" | "released" | "replaced">,
  mend: Mend | null,
  acting: Acting,
): Promise<HeldDecision> {
  if (row.state !== "held") {
    throw new IngestError("not-held", `Held row ${row.id} is settled already: it was ${row.state}.`);
  }
  if (row.way === null) {
    throw new IngestError(
      "no-way",
      `Held row ${row.id} was kept by an older version, without its header: send ${row.file} again, then mend it.`,
    );
  }
  const way = wayOf(row.way);
  const batch = mendedBatch(
    row,
    row.way,
    way,
    joined([...row.decisions.map((decision) => decision.mend), mend]),
  );

  const ranges = await storedRanges(store, way, batch);
  const rereading = await store.held.beginRereading(row.id, { replace: action === "replaced" });
  const within = acting.sites === null ? null : new RowsWithinSites(rereading, acting.sites);
  const intake = within ?? rereading;
  const still: QuarantinedRow[] = [];
  const held: HeldPlace = {
    hold: async (rows) => {
      await within?.refuseOthers(rows);
      still.push(...rows);
      return rows.map(() => "held");
    },
    lines: async () => new Set<number>(),
    inUse: async () => undefined,
  };
  const tally = new Tally();
  const made = { action, madeAtMs: acting.nowMs, by: acting.by, why: acting.why, mend, replaced: null };
  try {
    if (way.kind === "readings") {
      const registers = await rereading.registers();
      const judge = new ReadingJudge(way, readingContext(way, ranges, registers, acting.nowMs));
      judge.records(batch.columns, batch.records);
      const taker = new ReadingTaker(intake, held, registers.fluids.keys(), tally);
      await taker.take(judge.batch());
      await taker.end();
    } else {
      const taker = registerTaker(way, way.kind, intake, held, tally);
      await taker.take(batch);
      await taker.end();
    }
    if (still.length === 0 && tally.rows > 0) {
      return await rereading.settle({ ...made, outcome: "accepted", reason: null, message: null });
    }
  } catch (error) {
    await rereading.rollback();
    throw error;
  }
  await rereading.rollback();
  const { reason, message } = still[0] ?? {
    reason: "missing-field" as const,
    message: "The row holds no reading: all its numbered fields are empty.",
  };
  const decision: HeldDecision = { ...made, outcome: "held", reason, message };
  await store.held.decide(row.id, decision);
  return decision;
}

/** Settles a held row as not to be used. @throws {IngestError} "not-held" where it is settled already. */
export async function dismiss(store: Store, row: HeldRow, { by, why, nowMs }: Acting): Promise<HeldDecision> {
  if (row.state !== "held") {
    throw new IngestError("not-held", `Held row ${row.id} is settled already: it was ${row.state}.`);
  }
  const decision: HeldDecision = {
    action: "dismissed",
    madeAtMs: nowMs,
    by,
    why,
    mend: null,
    outcome: "dismissed",
    reason: null,
    message: null,
    replaced: null,
  };
  await store.held.decide(row.id, decision);
  return decision;
}

/** Mends one after the other: a whole new row starts afresh, values add up. */
function joined(mends: readonly (Mend | null)[]): Mend {
  let all: Mend = {};
  for (const mend of mends) {
    if (mend === null) continue;
    all = mend.row === undefined ? { ...all, values: { ...all.values, ...mend.values } } : mend;
  }
  return all;
}

async function storedRanges(store: Store, way: WayOfReading, { columns, records }: RecordBatch) {
  const ranges = new RangeConstants();
  if (way.kind !== "readings") return ranges;
  const [set] = readingSets(canonicalNames(columns, way.profile.columns));
  const place = set?.places.instrument ?? -1;
  for (const { fields } of records) {
    const instrument = (fields[place] ?? "").trim() || way.constants.instrument;
    if (instrument) ranges.learnStored(instrument, await store.rangeUses(instrument));
  }
  return ranges;
}
