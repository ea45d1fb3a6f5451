import type { RandomSource } from "./random.ts";

/**
 * A unit's own error as it truly is: zero, span, curvature and friction, and how fast each is moving.
 * Unit: % of full scale; rates per year, the acceleration per year squared.
 */
export interface OwnError {
  zero: number;
  span: number;
  curvature: number;
  friction: number;
  zeroPerYear: number;
  spanPerYear: number;
  curvaturePerYear: number;
  frictionPerYear: number;
  spanPerYearSquared: number;
}

/** What an irregular walk adds on top of the rates. Unit: % of full scale per square root of a year. */
const WANDER = { zero: 0.1, span: 0.22, curvature: 0.06, friction: 0.04 };

/** Where a unit is judged. Unit: % of full scale. */
export const JUDGED_TORQUES = [20, 50, 85] as const;

/** The unit's own error at a torque; both in % of full scale. */
export function ownErrorAt(state: OwnError, torque: number): number {
  const share = torque / 100;
  return (
    state.zero +
    state.span * share +
    state.curvature * 4 * (share * share - share) -
    state.friction * Math.exp(-torque / 12)
  );
}

/**
 * Tolerance at a torque, in % of full scale: fluid 1 %, instrument 1 %, accessory 1 %, added.
 * Written out here on purpose: the truth must not share a mistake with the analysis that is held against it.
 */
export function toleranceAt(torque: number): number {
  return 2 + 0.01 * torque;
}

/** The largest error over tolerance, either way, over the three judged torques; above 1 the unit is out. */
export function worstOverTolerance(state: OwnError): number {
  let worst = 0;
  for (const torque of JUDGED_TORQUES) {
    worst = Math.max(worst, Math.abs(ownErrorAt(state, torque)) / toleranceAt(torque));
  }
  return worst;
}

/** Moves a state on by some years: its rates, and a random walk that is right for any length of step. */
export function advance(state: OwnError, years: number, random: RandomSource): void {
  const root = Math.sqrt(years);
  state.zero += state.zeroPerYear * years + random.normal(WANDER.zero * root);
  state.span +=
    state.spanPerYear * years +
    (state.spanPerYearSquared * years * years) / 2 +
    random.normal(WANDER.span * root);
  state.spanPerYear += state.spanPerYearSquared * years;
  state.curvature += state.curvaturePerYear * years + random.normal(WANDER.curvature * root);
  // Friction can only hold back.
  const friction = state.friction + state.frictionPerYear * years + random.normal(WANDER.friction * root);
  state.friction = Math.max(0, friction);
}
