import { median } from "simple-statistics";

/** One reading of a check. Units: % of full scale. */
export interface CheckReading {
  /** Expected torque. */
  readonly torque: number;
  readonly error: number;
}

/** How far a reading may stand from what its check's others say. Unit: % of full scale. */
const MAY_DEPART = 2.5;

/**
 * Which readings of one check stand far from its others.
 *
 * @remarks
 * The others are taken to say either "the same error everywhere" (a zero error) or "an error in proportion to the
 * torque" (a span error, a fluid off its value); a reading between or near the two is in order. So a unit that
 * drifts is not flagged for its drift, and a typing error is. The farthest is set apart first, then the rest is
 * looked at again while three remain: fewer cannot say which of them is wrong.
 *
 * @returns Indices into `readings`.
 */
export function outliersOf(readings: readonly CheckReading[]): number[] {
  let rest = readings.map((_, i) => i);
  const found: number[] = [];
  while (rest.length >= 3) {
    let farthest = -1;
    let departure = MAY_DEPART;
    for (const i of rest) {
      const others = rest.filter((other) => other !== i).map((other) => readings[other]!);
      const distance = distanceFrom(others, readings[i]!);
      if (distance > departure) {
        farthest = i;
        departure = distance;
      }
    }
    if (farthest < 0) break;
    found.push(farthest);
    rest = rest.filter((i) => i !== farthest);
  }
  return found.sort((a, b) => a - b);
}

/** How far a reading lies outside what a zero error and a span error of the others would make of it. */
function distanceFrom(others: readonly CheckReading[], reading: CheckReading): number {
  const byZero = median(others.map((other) => other.error));
  const bySpan = median(others.map((other) => other.error / other.torque)) * reading.torque;
  const low = Math.min(byZero, bySpan);
  const high = Math.max(byZero, bySpan);
  return Math.max(low - reading.error, reading.error - high, 0);
}
