import type { Tally } from "../report.ts";
import { flagBits } from "../store/flag-bits.ts";
import { sameCheck } from "../store/same-check.ts";
import type { RowIntake, StoredReading } from "../store/store.ts";
import { outliersOf } from "./outliers.ts";
import type { TouchedSpan } from "./touched.ts";

const DAY_MS = 86_400_000;
const OUTLIER = flagBits(["outlier"]);
const LOOKS_NOMINAL = flagBits(["looks-nominal"]);

/**
 * Flags readings that stand far from their own check's others, where a file has added to the check.
 *
 * @remarks
 * Looks at checks as they now stand in the store, so that it does not matter in which order, or from which files,
 * the readings of a check came. Flags of readings from earlier files may change with it; only those of this
 * file are counted.
 *
 * @param touched Where readings were added or changed.
 */
export async function flagOutliers(
  intake: RowIntake,
  touched: readonly TouchedSpan[],
  tally: Tally,
): Promise<void> {
  for (const { instrument, fromMs, untilMs } of touched) {
    // A check may reach a day beyond what was touched.
    const readings = await intake.readingsBetween(instrument, fromMs - DAY_MS, untilMs + DAY_MS);
    const changed = inChecks(readings).flatMap((check) => reflag(check, tally));
    if (changed.length > 0) await intake.setFlags(instrument, changed);
  }
}

function reflag(check: readonly StoredReading[], tally: Tally): StoredReading[] {
  // A reading held against the label's value shows the error of the value, not its own.
  const compared = check.filter(({ flags }) => (flags & LOOKS_NOMINAL) === 0);
  const errors = compared.map(({ readingMPaS, fluidValueMPaS, fullScaleRangeMPaS }) => ({
    torque: (100 * fluidValueMPaS) / fullScaleRangeMPaS,
    error: (100 * (readingMPaS - fluidValueMPaS)) / fullScaleRangeMPaS,
  }));
  const found = outliersOf(errors);
  if (found.length === 0 && !check.some(({ flags }) => (flags & OUTLIER) !== 0)) return [];
  const outliers = new Set(found.map((i) => compared[i]!));

  const changed: StoredReading[] = [];
  for (const reading of check) {
    const flags = outliers.has(reading) ? reading.flags | OUTLIER : reading.flags & ~OUTLIER;
    if (flags === reading.flags) continue;
    changed.push({ ...reading, flags });
    if (reading.fromThisFile && outliers.has(reading)) tally.addFlag("outlier", reading.flags === 0);
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
