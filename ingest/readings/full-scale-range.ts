import type { GeometryRecord } from "../store/store.ts";

/**
 * Speed times full-scale range of an instrument with a coaxial-cylinder geometry, from its measures.
 *
 * @remarks
 * At full scale the spring holds M = 4 pi L c_L eta omega Ri² Ro² / (Ro² - Ri²); solved for eta, times the speed.
 * Margules (1881), laminar flow of a Newtonian fluid, inner cylinder turning; the end factor multiplies the torque.
 *
 * @param fullScaleTorqueUnm Unit: µN·m.
 * @returns Unit: mPa·s·min⁻¹. Null where a measure is missing or the cup is not wider than the bob.
 * @example With bob radius 12.5 mm, cup 13.55875 mm, length 37.5 mm, end factor 1.1 and 900 µN·m: 15,925, which is
 * 265.4 mPa·s at 60 min⁻¹.
 */
export function rangeConstant(
  fullScaleTorqueUnm: number | null,
  geometry: GeometryRecord | undefined,
): number | null {
  if (fullScaleTorqueUnm === null || geometry === undefined) return null;
  const { bobRadiusMm, cupRadiusMm, bobLengthMm, endFactor } = geometry;
  if (bobRadiusMm === null || cupRadiusMm === null || bobLengthMm === null || endFactor === null) return null;
  if (cupRadiusMm <= bobRadiusMm) return null;

  // 1 µN·m / mm³ = 1000 Pa = 1e6 mPa; omega = 2 pi n / 60.
  const perCubicMm = (1 / bobRadiusMm ** 2 - 1 / cupRadiusMm ** 2) / (4 * Math.PI * bobLengthMm * endFactor);
  return fullScaleTorqueUnm * 1e6 * perCubicMm * (60 / (2 * Math.PI));
}
