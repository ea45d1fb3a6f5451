import { JUDGING_TORQUES, type ShapeOutlook, type UnitForecast } from "../../analysis/index.ts";
import type { UnitView } from "../assessment/views.ts";

/**
 * How fast the band that leaves tolerance first is moving: the shape's rates at the torque where the band is judged,
 * over the tolerance there.
 *
 * The error at torque x % of full scale is zero + span x/100 + curvature 4 ((x/100)² - x/100) - friction exp(-x/12);
 * its rate is the same of the rates.
 *
 * @returns Error over tolerance a year; null where the unit is not judged.
 */
export function driftPerYear(
  { shape, band }: UnitForecast,
  { torque, tolerance }: UnitView["toleranceAlongTorque"],
): number | null {
  if (shape === null || band === null) return null;
  const x = JUDGING_TORQUES[band];
  const share = x / 100;
  const rate = (component: ShapeOutlook | null): number => component?.perYear ?? 0;
  const error =
    rate(shape.zero) +
    rate(shape.span) * share +
    rate(shape.curvature) * 4 * (share * share - share) -
    rate(shape.friction) * Math.exp(-x / 12);
  const nearest = torque.reduce(
    (best, at, i) => (Math.abs(at - x) < Math.abs(torque[best]! - x) ? i : best),
    0,
  );
  return error / tolerance[nearest]!;
}
