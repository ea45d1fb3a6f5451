import { normalCdf } from "../distributions/normal.ts";

/** An estimate of the error at one moment. */
export interface Estimate {
  /** Unit: years. */
  readonly time: number;
  readonly mean: number;
  readonly sd: number;
}

/**
 * Mean and standard deviation of the error between two neighbouring estimates, with no check between them.
 *
 * @param wander Growth of the variance of the error's wander. Unit: (unit of the means)^2 per year.
 * Source: Brownian bridge with uncertain ends, A. N. Borodin and P. Salminen, Handbook of Brownian Motion (2002), IV.4.
 */
export function between(
  before: Estimate,
  after: Estimate,
  time: number,
  wander: number,
): { mean: number; sd: number } {
  const span = after.time - before.time;
  const g = (time - before.time) / span;
  const variance =
    (wander * (time - before.time) * (after.time - time)) / span +
    before.sd ** 2 * (1 - g) ** 2 +
    after.sd ** 2 * g ** 2;
  return { mean: before.mean + (after.mean - before.mean) * g, sd: Math.sqrt(variance) };
}

/** Probability that a normally distributed error is beyond the tolerance, either way. */
export function beyondTolerance({ mean, sd }: { mean: number; sd: number }, tolerance: number): number {
  if (sd === 0) return Math.abs(mean) > tolerance ? 1 : 0;
  return normalCdf((-tolerance - mean) / sd) + normalCdf((mean - tolerance) / sd);
}

/**
 * Probability that a path with known ends, both below a limit, has been above it in between.
 *
 * @param years Time between the ends.
 * Source: reflection principle; Borodin and Salminen (2002), 1.1.8.
 */
export function crossedBetween(
  limit: number,
  from: number,
  to: number,
  wander: number,
  years: number,
): number {
  if (from >= limit || to >= limit) return 1;
  return years > 0 && wander > 0 ? Math.exp((-2 * (limit - from) * (limit - to)) / (wander * years)) : 0;
}
