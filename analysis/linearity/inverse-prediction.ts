import { tQuantile } from "../distributions/student-t.ts";
import { ImpossibleValueError, NonFiniteValueError } from "../errors.ts";
import type { StraightLine } from "./straight-line.ts";

/** Where a fitted line reaches a height, and the set of places that the data do not rule out. */
export interface InversePrediction {
  /** null where the line is level. Unit: that of x. */
  readonly x: number | null;
  /** First-order standard error of `x`; null where the line is level. */
  readonly se: number | null;
  /** t^2 s^2 / (slope^2 Sxx); from 1 on the slope may be 0 and the set is unbounded. */
  readonly g: number;
  readonly set:
    | { readonly kind: "interval"; readonly lower: number; readonly upper: number }
    /** Everything but what lies between the two. */
    | { readonly kind: "outside"; readonly excludedFrom: number; readonly excludedTo: number }
    | { readonly kind: "everything" }
    /** A level line without any scatter, elsewhere. */
    | { readonly kind: "nowhere" };
}

/**
 * The x at which a line, or the mean of new readings, reaches y, with Fieller's limits.
 *
 * @remarks
 * The limits are exact under normal scatter, also where the slope is not surely different from 0: the set of places
 * is then unbounded, which is the true answer for a short, flat series.
 *
 * Source: Fieller (1954), J. Roy. Statist. Soc. B 16:175; Draper and Smith, Applied Regression Analysis, 3.2.
 *
 * @param y Height asked for. Unit: that of y.
 * @param newReadings How many new readings are averaged; Infinity: when the mean line itself reaches y.
 * @param confidence Between 0 and 1.
 * @throws {ImpossibleValueError} for fewer than 1 new reading.
 * @throws {NonFiniteValueError} for a height that is not finite.
 * @throws {RangeError} for a confidence that is not between 0 and 1.
 */
export function inversePrediction(
  line: StraightLine,
  y: number,
  newReadings: number = Number.POSITIVE_INFINITY,
  confidence = 0.95,
): InversePrediction {
  if (!Number.isFinite(y)) throw new NonFiniteValueError("inversePrediction", 0, y);
  if (!(newReadings >= 1)) {
    throw new ImpossibleValueError("inversePrediction", "new readings", "1 or more", newReadings);
  }
  const { slope, meanX, squaresX, count, residualSd } = line;
  const t = tQuantile((1 + confidence) / 2, line.df);
  const rise = y - line.meanY;
  const spread = (t * residualSd) ** 2;
  const fixed = 1 / newReadings + 1 / count;

  // (slope u - rise)^2 <= spread (fixed + u^2 / Sxx), with u = x - mean x.
  const a = slope ** 2 - spread / squaresX;
  const discriminant = rise ** 2 * (spread / squaresX) + spread * fixed * a;
  const set = solveSet(a, slope * rise, discriminant, meanX, rise ** 2 - spread * fixed);
  const g = slope === 0 ? Number.POSITIVE_INFINITY : spread / (slope ** 2 * squaresX);
  if (slope === 0) return { x: null, se: null, g, set };
  const u = rise / slope;
  const se = (residualSd / Math.abs(slope)) * Math.sqrt(fixed + u ** 2 / squaresX);
  return { x: meanX + u, se, g, set };
}

/** Solutions of a u^2 - 2 b u + c <= 0, shifted to x. */
function solveSet(
  a: number,
  b: number,
  discriminant: number,
  meanX: number,
  c: number,
): InversePrediction["set"] {
  if (a > 0) {
    const half = Math.sqrt(Math.max(0, discriminant));
    return { kind: "interval", lower: meanX + (b - half) / a, upper: meanX + (b + half) / a };
  }
  if (a === 0) {
    if (b === 0) return { kind: c <= 0 ? "everything" : "nowhere" };
    const edge = meanX + c / (2 * b);
    return b > 0
      ? { kind: "outside", excludedFrom: Number.NEGATIVE_INFINITY, excludedTo: edge }
      : { kind: "outside", excludedFrom: edge, excludedTo: Number.POSITIVE_INFINITY };
  }
  if (discriminant <= 0) return { kind: "everything" };
  const half = Math.sqrt(discriminant);
  return { kind: "outside", excludedFrom: meanX + (b + half) / a, excludedTo: meanX + (b - half) / a };
}
