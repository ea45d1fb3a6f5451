/**
 * The invented organisation of the demo: Merrowfield, which makes paints, adhesives and creams at nine
 * places that are on no map. Nothing here names a real place, person, maker or product.
 */

/** The nine sites; a unit's number begins with its site's initial. */
export const SITES = [
  "Ellerquay",
  "Fennoway",
  "Garrowmere",
  "Inkerdale",
  "Kelmscar",
  "Lorrimouth",
  "Nettlestow",
  "Oxenhythe",
  "Pellbury",
] as const;

/** Who checks: roles, never names. */
export const ROLES = ["early shift", "late shift", "quality desk", "trainee"] as const;

/** Springs by their full-scale torque. Unit: µN·m. */
export const SPRING_CLASSES = [
  { modelClass: "light spring", fullScaleTorqueUnm: 95 },
  { modelClass: "medium spring", fullScaleTorqueUnm: 850 },
  { modelClass: "heavy spring", fullScaleTorqueUnm: 6400 },
] as const;

/**
 * Sizes of cup and bob, all in the proportions of the standard geometry of ISO 3219 (radius ratio 1.0847,
 * length three bob radii, end factor 1.10; from memory).
 */
export const GEOMETRY_SIZES = [
  { size: "small", bobRadiusMm: 10, cupRadiusMm: 10.847, bobLengthMm: 30, endFactor: 1.1 },
  { size: "middle", bobRadiusMm: 12.5, cupRadiusMm: 13.559, bobLengthMm: 37.5, endFactor: 1.1 },
  { size: "large", bobRadiusMm: 19, cupRadiusMm: 20.609, bobLengthMm: 57, endFactor: 1.1 },
] as const;
export type GeometrySize = (typeof GEOMETRY_SIZES)[number];

/** Speeds that the instruments offer. Unit: min^-1. */
export const SPEEDS_RPM = [
  0.3, 0.5, 0.6, 1, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30, 40, 50, 60, 75, 100, 120, 150, 200,
] as const;

/**
 * Certified fluids that are bought. Temperature coefficients in % per K: silicone about -2, mineral oil -5 to -7
 * (common practice, no source).
 */
export const FLUID_PRODUCTS = [
  { code: "SI100", type: "silicone", nominalMPaS: 100, coefficient: [-2.15, -1.85] },
  { code: "SI500", type: "silicone", nominalMPaS: 500, coefficient: [-2.15, -1.85] },
  { code: "SI5000", type: "silicone", nominalMPaS: 5000, coefficient: [-2.15, -1.85] },
  { code: "MO200", type: "mineral_oil", nominalMPaS: 200, coefficient: [-5.6, -5] },
  { code: "MO1000", type: "mineral_oil", nominalMPaS: 1000, coefficient: [-6.8, -6] },
] as const;
export type FluidProduct = (typeof FLUID_PRODUCTS)[number];

export type Usage = "several_shifts" | "daily" | "weekly" | "occasional";

/** How often a unit is checked by its use, and how many there are of each. */
export const USAGES: Readonly<
  Record<Usage, { readonly daysBetweenChecks: number; readonly share: number; readonly sparseShare: number }>
> = {
  several_shifts: { daysBetweenChecks: 1, share: 0.08, sparseShare: 0 },
  daily: { daysBetweenChecks: 7, share: 0.42, sparseShare: 0 },
  weekly: { daysBetweenChecks: 30, share: 0.3, sparseShare: 0.35 },
  occasional: { daysBetweenChecks: 70, share: 0.2, sparseShare: 0.65 },
};

/**
 * What can be wrong with a unit: nothing; one part of its own error drifting; span drifting ever faster; or readings
 * that scatter more and more around an error that stays.
 */
export type Fault = "healthy" | "span" | "zero" | "accelerating" | "friction" | "curvature" | "scatter";

/** How the drifting units divide. */
export const DRIFT_FAULTS: readonly (readonly [Fault, number])[] = [
  ["span", 0.42],
  ["zero", 0.2],
  ["accelerating", 0.14],
  ["friction", 0.12],
  ["curvature", 0.12],
];
