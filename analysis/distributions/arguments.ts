/** Both ends are left out: the quantile there is infinite. */
export function requireOpenProbability(method: string, p: number): void {
  if (!(p > 0 && p < 1)) throw new RangeError(`${method}: probability must be between 0 and 1, got ${p}`);
}

/** Degrees of freedom may be a fraction, but not zero. */
export function requireDegreesOfFreedom(method: string, df: number): void {
  if (!(df > 0)) throw new RangeError(`${method}: degrees of freedom must be above 0, got ${df}`);
}
