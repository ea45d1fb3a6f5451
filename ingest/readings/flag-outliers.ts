import type { Tally } from "../report.ts";
import { flagBits } from "../store/flag-bits.ts";
import { sameCheck } from "../store/same-check.ts";
import type { FileIntake, StoredReading } from "../store/store.ts";
import { outliersOf } from "./outliers.ts";

const DAY_MS = 86_400_000;
const OUTLIER = flagBits(["outlier"]);

/**
 * Flags readings that stand far from their own check's others, where a file has added to the check.
 *
 * @remarks
 * Looks at checks as they now stand in the store, so that it does not matter in which order, or from which files,
 * the readings of a check came. Flags of readings from earlier files may change with it; only those of this
 * file are counted.
 *
 * @param touched Per instrument the first and last time of what the file has added.
 */
export async function flagOutliers(
  intake: FileIntake,
  touched: ReadonlyMap<string, { readonly fromMs: number; readonly untilMs: number }>,
  tally: Tally,
): Promise<void> {
  for (const [instrument, { fromMs, untilMs }] of touched) {
    // A check may reach a day beyond what was touched.
    const readings = await intake.readingsBetween(instrument, fromMs - DAY_MS, untilMs + DAY_MS);
    const changed = inChecks(readings).flatMap((check) => reflag(check, tally));
    if (changed.length > 0) await intake.setFlags(instrument, changed);
  }
}

function reflag(check: readonly StoredReading[], tally: Tally) {
  const outliers = new Set(
    outliersOf(
      check.map(({ readingMPaS, fluidValueMPaS, fullScaleRangeMPaS }) => ({
        torque: (100 * fluidValueMPaS) / fullScaleRangeMPaS,
        error: (100 * (readingMPaS - fluidValueMPaS)) / fullScaleRangeMPaS,
      })),
    ),
  );
  const changed: StoredReading[] = [];
  for (const [i, reading] of check.entries()) {
    const flags = outliers.has(i) ? reading.flags | OUTLIER : reading.flags & ~OUTLIER;
    if (flags === reading.flags) continue;
    changed.push({ ...reading, flags });
    if (reading.fromThisFile && outliers.has(i)) tally.addFlag("outlier", reading.flags === 0);
  }
  return changed;
}

/** Readings of one instrument, in order of time, cut into checks. */
function inChecks(readings: readonly StoredReading[]): StoredReading[][] {
  const checks: StoredReading[][] = [];
  for (const reading of readings) {
    const check = checks.at(-1);
    if (check !== undefined && sameCheck(check[0]!, reading)) check.push(reading);
    else checks.push([reading]);
  }
  return checks;
}
