import { BAND_NAMES } from "../band.ts";
import type { LifeSeries } from "./life-series.ts";
import { QUANTITIES } from "./quantities.ts";
import { StepFilter } from "./step-filter.ts";

/** A band this far off its forecast counts. Unit: sigma. */
const OFF = 2.5;

/**
 * Which checks of a life are off their forecast in all three bands: a slip at one reading does not do that, and what is
 * in proportion to torque, as a badly filled cup, hardly shows at low torque.
 *
 * @returns 1 or 0, one a check.
 */
export function offTogether(series: LifeSeries): Uint8Array {
  const n = series.day.length;
  const off = new Uint8Array(n);
  for (const band of BAND_NAMES) {
    const q = QUANTITIES.indexOf(band);
    const movement = series.movement[q];
    if (!movement) continue;
    const filter = new StepFilter(movement);
    const [value, variance] = [series.value[q]!, series.variance[q]!];
    for (let k = 0; k < n; k++) {
      if (Number.isNaN(value[k]!)) continue;
      const z = filter.predict(series.checks.year[k]!, value[k]!, variance[k]!);
      filter.update();
      if (Math.abs(z) > OFF) off[k]!++;
    }
  }
  return off.map((bands) => Number(bands === BAND_NAMES.length));
}
