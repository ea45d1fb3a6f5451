import { ImpossibleValueError } from "./errors.ts";

/** Measures of a coaxial-cylinder geometry: inner cylinder (bob) turning in a cup. */
export interface CylinderGeometry {
  readonly bobRadiusMm: number;
  readonly cupRadiusMm: number;
  readonly bobLengthMm: number;
  /** Factor by which the ends raise the torque; 1.10 for the standard shape (ISO 3219:1993, from memory). */
  readonly endFactor: number;
}

/**
 * Full-scale range: the viscosity that would read 100 % torque, from cup, bob, spring and speed.
 *
 * @remarks
 * Laminar flow of a Newtonian fluid. The torque goes with about the 13th power of the bob's radius at the standard
 * ratio, so the measures must be those of the accessory in use.
 *
 * Source: Margules (1881): M = 4 pi L eta omega Ri^2 Ro^2 / (Ro^2 - Ri^2), times the end factor.
 *
 * @param fullScaleTorqueUnm Torque of the spring at full scale. Unit: µN·m.
 * @param speedRpm Unit: 1/min.
 * @returns Unit: mPa·s.
 * @throws {ImpossibleValueError} for a measure that is not positive, or a cup not wider than its bob.
 * @example
 * fullScaleRangeMPaS(
 *   { bobRadiusMm: 12.5, cupRadiusMm: 12.5 * 1.0847, bobLengthMm: 37.5, endFactor: 1.1 }, 900, 60); // 265.409
 */
export function fullScaleRangeMPaS(
  geometry: CylinderGeometry,
  fullScaleTorqueUnm: number,
  speedRpm: number,
): number {
  requirePositive("fullScaleRangeMPaS", "full-scale torque", fullScaleTorqueUnm);
  const { shearRatePerSecond } = representativeShear(geometry, speedRpm);
  const pascalPerMicronewtonMetre = shearStressPaPerUnm(geometry);
  return (1000 * pascalPerMicronewtonMetre * fullScaleTorqueUnm) / shearRatePerSecond;
}

/** Shear rates in the gap. Unit: 1/s. */
export interface GapShear {
  readonly bobPerSecond: number;
  readonly cupPerSecond: number;
  /** Mean of bob and cup: the value by which results are reported. */
  readonly shearRatePerSecond: number;
}

/**
 * Shear rates of a Newtonian fluid at bob and cup, and their mean, the representative value.
 *
 * Source: ISO 3219:1993 and DIN 53019-1, from memory.
 *
 * @throws {ImpossibleValueError} as {@link fullScaleRangeMPaS}.
 */
export function representativeShear(geometry: CylinderGeometry, speedRpm: number): GapShear {
  requirePositive("representativeShear", "speed", speedRpm);
  const squared = squaredRadiusRatio(geometry);
  const omega = (2 * Math.PI * speedRpm) / 60;
  return {
    bobPerSecond: (2 * omega * squared) / (squared - 1),
    cupPerSecond: (2 * omega) / (squared - 1),
    shearRatePerSecond: (omega * (squared + 1)) / (squared - 1),
  };
}

/** Representative shear stress for a torque of 1 µN·m, the mean of bob and cup. Unit: Pa per µN·m. */
export function shearStressPaPerUnm(geometry: CylinderGeometry): number {
  const squared = squaredRadiusRatio(geometry);
  const { bobRadiusMm, bobLengthMm, endFactor } = geometry;
  // µN·m over mm^3 is 1e-6 / 1e-9 = 1000 Pa.
  return (1000 * (1 + squared)) / (2 * squared) / (2 * Math.PI * bobLengthMm * bobRadiusMm ** 2 * endFactor);
}

function squaredRadiusRatio(geometry: CylinderGeometry): number {
  requirePositive("geometry", "bob radius", geometry.bobRadiusMm);
  requirePositive("geometry", "bob length", geometry.bobLengthMm);
  requirePositive("geometry", "end factor", geometry.endFactor);
  const ratio = geometry.cupRadiusMm / geometry.bobRadiusMm;
  if (!(ratio > 1 && ratio < Number.POSITIVE_INFINITY)) {
    throw new ImpossibleValueError("geometry", "cup radius over bob radius", "above 1", ratio);
  }
  return ratio ** 2;
}

function requirePositive(method: string, quantity: string, value: number): void {
  if (!(value > 0 && value < Number.POSITIVE_INFINITY)) {
    throw new ImpossibleValueError(method, quantity, "above 0", value);
  }
}
