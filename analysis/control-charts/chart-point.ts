import { OutOfOrderError } from "../errors.ts";
import { requireFinite } from "../numeric/moments.ts";

/** One value of a charted quantity. */
export interface ChartPoint {
  /** Unit: days since 1970-01-01 UTC. */
  readonly day: number;
  readonly value: number;
}

/**
 * Values of points, after a look at their order.
 *
 * @throws {NonFiniteValueError} for NaN or infinity in a day or value.
 * @throws {OutOfOrderError} for a day before the one ahead of it.
 */
export function valuesInOrder(method: string, points: readonly ChartPoint[]): Float64Array {
  const days = points.map((point) => point.day);
  const values = Float64Array.from(points, (point) => point.value);
  requireFinite(method, days);
  requireFinite(method, values);
  for (let i = 1; i < days.length; i++) {
    if (days[i]! < days[i - 1]!) throw new OutOfOrderError(method, i);
  }
  return values;
}
