import { median } from "simple-statistics";

/** One reading of a check. Units: % of full scale. */
export interface CheckReading {
  /** Expected torque. */
  readonly torque: number;
  readonly error: number;
}

/**
 * Friction of pivot or bearing takes this much off near zero torque before a unit is long out of use, and less the
 * higher the torque. Units: % of full scale. Common practice, no source.
 */
const FRICTION_MAY_TAKE = 8;
const FRICTION_FADES_OVER = 12;

/** How far a reading may stand from what its check's others say. Unit: % of full scale. */
const MAY_DEPART = 2.5;

/**
 * Which readings of one check stand far from its others.
 *
 * @remarks
 * The others are taken to say either "the same error everywhere" (a zero error) or "an error in proportion to the
 * torque" (a span error, a fluid off its value); a reading between or near the two is in order, and at low torque
 * one that friction has taken something off. So a unit is not flagged for its drift, and a typing error is. The farthest is set apart first, then the rest is
 * looked at again while three remain: fewer cannot say which of them is wrong.
 *
 * @returns Indices into `readings`.
 */
export function outliersOf(readings: readonly CheckReading[]): number[] {
  if (!mayHoldOutlier(spreadOf(readings))) return [];
  let rest = readings.map((_, i) => i);
  const found: number[] = [];
  while (rest.length >= 3) {
    let farthest = -1;
    let departure = 0;
    for (const i of rest) {
      const others = rest.filter((other) => other !== i).map((other) => readings[other]!);
      const next = departureFrom(others, readings[i]!);
      if (Math.abs(next) > Math.abs(departure)) {
        farthest = i;
        departure = next;
      }
    }
    if (Math.abs(departure) <= MAY_DEPART) break;
    // What friction explains is in order, but says nothing about the others: it is set apart all the same.
    if (!isFriction(departure, readings[farthest]!.torque)) found.push(farthest);
    rest = rest.filter((i) => i !== farthest);
  }
  return found.sort((a, b) => a - b);
}

/** Whether one reading may stand far from the others. @param spread Largest error minus smallest. Unit: % of full scale. */
export function mayHoldOutlier(spread: number): boolean {
  return spread > MAY_DEPART;
}

/** Largest error minus smallest: no reading departs by more from what a zero error of the others would make of it. */
function spreadOf(readings: readonly CheckReading[]): number {
  let low = Number.POSITIVE_INFINITY;
  let high = Number.NEGATIVE_INFINITY;
  for (const { error } of readings) {
    if (error < low) low = error;
    if (error > high) high = error;
  }
  return high - low;
}

/** How far a reading lies above (or, negative, below) what a zero error and a span error of the others would make of it. */
function departureFrom(others: readonly CheckReading[], reading: CheckReading): number {
  const byZero = median(others.map((other) => other.error));
  const bySpan = median(others.map((other) => other.error / other.torque)) * reading.torque;
  const low = Math.min(byZero, bySpan);
  const high = Math.max(byZero, bySpan);
  if (reading.error > high) return reading.error - high;
  return reading.error < low ? reading.error - low : 0;
}

function isFriction(departure: number, torque: number): boolean {
  return (
    departure >= -(MAY_DEPART + FRICTION_MAY_TAKE * Math.exp(-torque / FRICTION_FADES_OVER)) && departure < 0
  );
}
