import { ImpossibleValueError } from "../errors.ts";
import { requireFinite } from "../numeric/moments.ts";

export interface CusumDesign {
  /** Where the values are expected to be. */
  readonly target: number;
  /** Slack taken off at every step: half the shift that is to be found. Unit: that of the values. */
  readonly allowance: number;
  /** A sum above this signals. Unit: that of the values. */
  readonly decisionInterval: number;
  /** Where both sums start: 0, or a head start (half the decision interval is usual). */
  readonly headStart?: number;
}

/** One run of a sum above 0 that passed the decision interval. */
export interface CusumSignal {
  readonly side: "up" | "down";
  /** Index of the value at which the sum passed the interval. */
  readonly at: number;
  /** Index of the first value of the run: the shift is dated here. */
  readonly shiftFrom: number;
  /** Estimated size, the allowance added back: signed. Unit: that of the values. */
  readonly shift: number;
}

export interface CusumChart {
  /** Sums, one a value, never negative. */
  readonly up: Float64Array;
  readonly down: Float64Array;
  /** In the order in which they signalled; one a run. */
  readonly signals: readonly CusumSignal[];
}

/**
 * Two-sided tabular cumulative sum chart.
 *
 * @remarks
 * up <- max(0, up + value - target - allowance), down likewise. The chart goes on after a signal; a second one on the
 * same side is listed only after its sum was back at 0. The shift is dated to the value after the sum last was 0.
 * With a head start the first run may have begun before the first value; it is dated to the first value then.
 *
 * Source: Page (1954); NIST/SEMATECH e-Handbook, 6.3.2.3; head start: Lucas and Crosier (1982), Technometrics 24:199.
 *
 * @param values Oldest first. Shape: any length.
 * @throws {NonFiniteValueError} for NaN or infinity.
 * @throws {ImpossibleValueError} for a negative allowance or head start, or an interval not above 0.
 */
export function cusumChart(values: ArrayLike<number>, design: CusumDesign): CusumChart {
  requireFinite("cusumChart", values);
  requireDesign(design);
  const deviations = Float64Array.from(values, (value) => value - design.target);
  const up = oneSide(deviations, design);
  const down = oneSide(
    deviations.map((d) => -d),
    design,
  );
  const signals: CusumSignal[] = [
    ...up.signals.map((s) => ({ ...s, side: "up" as const })),
    ...down.signals.map((s) => ({ ...s, shift: -s.shift, side: "down" as const })),
  ];
  return { up: up.sums, down: down.sums, signals: signals.sort((a, b) => a.at - b.at) };
}

function oneSide(
  deviations: Float64Array,
  { allowance, decisionInterval, headStart = 0 }: CusumDesign,
): { readonly sums: Float64Array; readonly signals: Omit<CusumSignal, "side">[] } {
  const signals: Omit<CusumSignal, "side">[] = [];
  let sum = headStart;
  let runFrom = 0;
  let signalled = false;
  const sums = deviations.map((deviation, i) => {
    if (sum === 0) {
      runFrom = i;
      signalled = false;
    }
    sum = Math.max(0, sum + deviation - allowance);
    if (sum > decisionInterval && !signalled) {
      signalled = true;
      const gathered = runFrom === 0 ? sum - headStart : sum;
      signals.push({ at: i, shiftFrom: runFrom, shift: allowance + gathered / (i - runFrom + 1) });
    }
    return sum;
  });
  return { sums, signals };
}

function requireDesign({ allowance, decisionInterval, headStart = 0, target }: CusumDesign): void {
  requireFinite("cusumChart", [target, allowance, headStart]);
  if (allowance < 0) throw new ImpossibleValueError("cusumChart", "allowance", "0 or more", allowance);
  if (headStart < 0) throw new ImpossibleValueError("cusumChart", "head start", "0 or more", headStart);
  if (!(decisionInterval > 0)) {
    throw new ImpossibleValueError("cusumChart", "decision interval", "above 0", decisionInterval);
  }
}
