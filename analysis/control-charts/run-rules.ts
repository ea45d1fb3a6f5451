/**
 * Run rules on standardised values (0 at the centre line, 1 a sigma), as notes on a unit's own page: together they
 * alarm every 73 values without a cause, so they are no alarms for a fleet.
 *
 * Every rule takes the values, oldest first, and gives the indices at which it is met, the current point being part of
 * the pattern. A value on a zone's edge is not beyond it. NaN meets nothing and breaks every run.
 *
 * Source: Nelson (1984), Journal of Quality Technology 16:237, rules 1 to 8.
 */
export type RunRule = (z: ArrayLike<number>) => number[];

/** Rule 1: one value beyond 3 sigma. */
export const beyondThreeSigma: RunRule = (z) => indices(z, (i) => Math.abs(z[i]!) > 3);

/** Rule 2: nine in a row on one side of the centre line; a value on the line belongs to neither side. */
export const nineOnOneSide: RunRule = (z) =>
  indices(z, (i) => everyOf(z, i, 9, (value) => value > 0) || everyOf(z, i, 9, (value) => value < 0));

/** Rule 3: six in a row rising, or falling; an equal neighbour ends the run. */
export const sixRisingOrFalling: RunRule = (z) =>
  indices(z, (i) => everyStep(z, i, 6, (step) => step > 0) || everyStep(z, i, 6, (step) => step < 0));

/** Rule 4: fourteen in a row alternating up and down. */
export const fourteenAlternating: RunRule = (z) =>
  indices(z, (i) => {
    const upwards = (k: number) => (i - k) % 2 === 0;
    return (
      everyStep(z, i, 14, (step, k) => (upwards(k) ? step > 0 : step < 0)) ||
      everyStep(z, i, 14, (step, k) => (upwards(k) ? step < 0 : step > 0))
    );
  });

/** Rule 5: two of three beyond 2 sigma on the same side, the current one among them. */
export const twoOfThreeBeyondTwoSigma: RunRule = (z) => indices(z, (i) => someBeyond(z, i, 3, 2, 2));

/** Rule 6: four of five beyond 1 sigma on the same side, the current one among them. */
export const fourOfFiveBeyondOneSigma: RunRule = (z) => indices(z, (i) => someBeyond(z, i, 5, 4, 1));

/** Rule 7: fifteen in a row within 1 sigma, on either side. */
export const fifteenWithinOneSigma: RunRule = (z) =>
  indices(z, (i) => everyOf(z, i, 15, (value) => Math.abs(value) < 1));

/** Rule 8: eight in a row beyond 1 sigma, on either side. */
export const eightBeyondOneSigma: RunRule = (z) =>
  indices(z, (i) => everyOf(z, i, 8, (value) => Math.abs(value) > 1));

function indices(z: ArrayLike<number>, holds: (i: number) => boolean): number[] {
  return Array.from({ length: z.length }, (_, i) => i).filter(holds);
}

/** The last `count` values up to i all hold; false where there are not so many. */
function everyOf(z: ArrayLike<number>, i: number, count: number, holds: (value: number) => boolean): boolean {
  if (i < count - 1) return false;
  for (let k = i - count + 1; k <= i; k++) if (!holds(z[k]!)) return false;
  return true;
}

/** As {@link everyOf}, for the steps between `count` values. */
function everyStep(
  z: ArrayLike<number>,
  i: number,
  count: number,
  holds: (step: number, k: number) => boolean,
): boolean {
  if (i < count - 1) return false;
  for (let k = i - count + 2; k <= i; k++) if (!holds(z[k]! - z[k - 1]!, k)) return false;
  return true;
}

/** Of the last `window` values up to i, at least `count` lie beyond `edge` on the side of value i, which does too. */
function someBeyond(z: ArrayLike<number>, i: number, window: number, count: number, edge: number): boolean {
  const side = Math.sign(z[i]!);
  if (!(side * z[i]! > edge)) return false;
  let beyond = 0;
  for (let k = Math.max(0, i - window + 1); k <= i; k++) if (side * z[k]! > edge) beyond++;
  return beyond >= count;
}
