import type { ReadingRecord } from "./store.ts";

/** The values in which two readings with the same instrument, time and speed may differ. */
export type ComparedValues = Pick<
  ReadingRecord,
  "readingMPaS" | "torquePercent" | "fullScaleRangeMPaS" | "fluidValueMPaS" | "fluidLot" | "temperatureC"
>;

/** Room for the rounding of unit conversions; a digit that anyone typed is far larger. */
const RELATIVE_ROUNDING = 1e-8;
/** A range that one file leaves to the registers, another may print with five digits. */
const RANGE_ROUNDING = 1e-4;

/**
 * Whether two readings of the same instrument, time and speed say the same.
 *
 * @remarks
 * A value that one of them lacks is no contradiction: a later export may carry fewer columns. Operator,
 * site, stage and check identifier are not compared.
 */
export function sayTheSame(a: ComparedValues, b: ComparedValues): boolean {
  return (
    sameNumber(a.readingMPaS, b.readingMPaS) &&
    sameNumber(a.torquePercent, b.torquePercent) &&
    sameNumber(a.fullScaleRangeMPaS, b.fullScaleRangeMPaS, RANGE_ROUNDING) &&
    sameNumber(a.fluidValueMPaS, b.fluidValueMPaS) &&
    sameNumber(a.temperatureC, b.temperatureC) &&
    (a.fluidLot === null || b.fluidLot === null || a.fluidLot === b.fluidLot)
  );
}

function sameNumber(a: number | null, b: number | null, rounding = RELATIVE_ROUNDING): boolean {
  if (a === null || b === null || a === b) return true;
  return Math.abs(a - b) <= rounding * Math.max(Math.abs(a), Math.abs(b));
}
