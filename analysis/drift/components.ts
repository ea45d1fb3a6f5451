/**
 * The four shapes that a unit's own error is made of, and the nine numbers that one life of a unit has.
 *
 * The error at expected torque x (as a fraction of full scale) is
 * `zero + span x + curvature 4 (x^2 - x) - friction exp(-100 x / 12)`, in % of full scale.
 */
export const COMPONENT = { zero: 0, span: 1, curvature: 2, friction: 3 } as const;
export const COMPONENTS = 4;

/**
 * One life's numbers: where each component starts (0 to 3), its rate per year (4 to 7), and the acceleration of
 * span per year squared (8).
 */
export const PARAMETERS = 9;
export const RATE = 4;
export const ACCELERATION = 8;

/** Torque over which friction's error falls to 1/e. Unit: % of full scale. Definition of the outer contract. */
const FRICTION_TORQUE = 12;

/** Loading of curvature at torque fraction x; 0 at both ends, -1 in the middle. */
export function curvatureLoading(x: number): number {
  return 4 * (x * x - x);
}

/** Loading of friction at torque fraction x; negative, because friction holds the pointer back. */
export function frictionLoading(x: number): number {
  return -Math.exp((-100 * x) / FRICTION_TORQUE);
}
