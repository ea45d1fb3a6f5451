import { dispersionAllowance } from "../control-charts/dispersion.ts";
import { type ChartDesign, SCATTER_CLIP } from "./design.ts";
import type { StreamSignal } from "./stream-signal.ts";

const ALLOWANCE = dispersionAllowance();

/** Odds that tell doubled scatter from the usual. */
const TELLING_ODDS = 9;

/**
 * Cumulative sum of the clipped squares of a quantity's prediction errors, from the frozen baseline on; a step is no
 * scatter, and both checks that showed it are left out. Signals once a run.
 */
export class ScatterChart {
  /** By check; NaN where there is nothing to add. Unit: squared sigma. */
  sum = new Float64Array(0);
  signals: StreamSignal[] = [];

  /**
   * @param z Prediction errors of the quantity. Unit: sigma; NaN: not told.
   * @param second By check: 1 for the second of two that showed a step.
   * @param within Those of what a check's readings show against each other; null: no check of the life tells it.
   * @param from First check after the baseline.
   */
  run(
    z: Float64Array,
    within: Float64Array | null,
    second: Uint8Array,
    n: number,
    from: number,
    design: ChartDesign,
  ): void {
    if (this.sum.length < n) this.sum = new Float64Array(n);
    this.sum.fill(Number.NaN, 0, n);
    this.signals = [];
    let sum = 0;
    let begin = from;
    let signalled = false;
    for (let k = from; k < n; k++) {
      if (Number.isNaN(z[k]!)) continue;
      // What the next check shows to be the first of a step is known a check later only, and taken back then.
      const isOfStep = second[k] === 1 || (k + 1 < n && second[k + 1] === 1);
      if (!isOfStep) {
        sum = Math.max(0, sum + Math.min(SCATTER_CLIP, Math.abs(z[k]!)) ** 2 - ALLOWANCE);
      }
      if (sum === 0) {
        signalled = false;
        begin = k + 1;
      }
      this.sum[k] = sum;
      if (!signalled && sum > design.scatter) {
        signalled = true;
        this.signals.push({
          chart: "scatter",
          at: k,
          from: begin,
          size: sum,
          limit: design.scatter,
          change: 0,
          withinCheck: within && isWide(within, second, begin, k),
        });
      }
    }
  }
}

/** Whether these prediction errors scatter twice as far as usual over these checks, or as usual; null: not told. */
function isWide(z: Float64Array, second: Uint8Array, from: number, to: number): boolean | null {
  // Logarithm of the likelihoods' ratio, two normal distributions.
  let odds = 0;
  for (let k = from; k <= to; k++) {
    if (Number.isNaN(z[k]!) || second[k] === 1 || second[k + 1] === 1) continue;
    odds += 0.5 * (1 - 1 / 4) * Math.min(SCATTER_CLIP, Math.abs(z[k]!)) ** 2 - Math.LN2;
  }
  return Math.abs(odds) < Math.log(TELLING_ODDS) ? null : odds > 0;
}
