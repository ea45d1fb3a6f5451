import type { ReadingBatch } from "../store/reading-batch.ts";
import { sameCheck } from "../store/same-check.ts";
import type { RowIntake } from "../store/store.ts";
import { detached } from "../text/detached.ts";
import { mayHoldOutlier } from "./outliers.ts";
import type { Span, TouchedSpan } from "./touched.ts";

const DAY_MS = 86_400_000;

/** What a file has added to one unit. */
interface Added extends Span {
  count: number;
  /** In the order of time, no check between the readings of another: the file's checks are those of the store. */
  isInOrder: boolean;
  /** The check that the latest reading belongs to. */
  checkId: string | null;
  checkFromMs: number;
  low: number;
  high: number;
  /** Checks whose readings lie too far apart for all to be in order. */
  readonly wide: Span[];
}

/**
 * Watches the checks that a file adds, so that only those need be read back in which an outlier can be.
 *
 * @remarks Holds some numbers for each unit, not for each check.
 */
export class AddedChecks {
  readonly #units = new Map<string, Added>();
  #lastName = "";
  #last: Added | null = null;

  /** Reading `i` of a batch was added. */
  add(batch: ReadingBatch, i: number): void {
    const atMs = batch.checkedAtMs[i]!;
    const checkId = batch.names.checkIds[batch.checkId[i]!] ?? null;
    const error = (100 * (batch.readingMPaS[i]! - batch.fluidValueMPaS[i]!)) / batch.fullScaleRangeMPaS[i]!;
    const unit = this.#unit(batch.names.instruments[batch.instrument[i]!]!, atMs, checkId, error);
    unit.count++;
    if (sameCheck({ checkedAtMs: unit.checkFromMs, checkId: unit.checkId }, { checkedAtMs: atMs, checkId })) {
      if (error < unit.low) unit.low = error;
      if (error > unit.high) unit.high = error;
      if (atMs < unit.untilMs) unit.isInOrder = false;
    } else {
      if (atMs <= unit.untilMs) unit.isInOrder = false;
      endCheck(unit);
      unit.checkId = checkId;
      unit.checkFromMs = atMs;
      unit.low = error;
      unit.high = error;
    }
    if (atMs < unit.fromMs) unit.fromMs = atMs;
    if (atMs > unit.untilMs) unit.untilMs = atMs;
  }

  /**
   * Where outliers may be.
   *
   * @remarks A check may reach a day beyond what was added, into what other files have brought: then it is looked at as
   * it stands in the store.
   */
  async inDoubt(intake: RowIntake): Promise<TouchedSpan[]> {
    const spans: TouchedSpan[] = [];
    for (const [instrument, unit] of this.#units) {
      endCheck(unit);
      const { fromMs, untilMs } = unit;
      const isAlone =
        unit.isInOrder &&
        (await intake.countBetween(instrument, fromMs - DAY_MS, untilMs + DAY_MS)) === unit.count;
      for (const span of isAlone ? unit.wide : [{ fromMs, untilMs }]) spans.push({ instrument, ...span });
    }
    return spans;
  }

  #unit(name: string, atMs: number, checkId: string | null, error: number): Added {
    if (this.#last !== null && name === this.#lastName) return this.#last;
    let unit = this.#units.get(name);
    if (unit === undefined) {
      unit = {
        fromMs: atMs,
        untilMs: atMs,
        count: 0,
        isInOrder: true,
        checkId,
        checkFromMs: atMs,
        low: error,
        high: error,
        wide: [],
      };
      this.#units.set(detached(name), unit);
    }
    this.#last = unit;
    this.#lastName = name;
    return unit;
  }
}

function endCheck({ low, high, checkFromMs, untilMs, wide }: Added): void {
  if (!mayHoldOutlier(high - low)) return;
  const last = wide.at(-1);
  // What is read back reaches a day to both sides.
  if (last !== undefined && checkFromMs <= last.untilMs + 2 * DAY_MS) last.untilMs = untilMs;
  else wide.push({ fromMs: checkFromMs, untilMs });
}
