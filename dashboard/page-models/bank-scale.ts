/** How far beyond the bank a picture goes, in the folded scale: nothing lies further out. */
export const FOLDED_END = 1.62;

/** 63 % of the room beyond the limit is used up at this excess over tolerance. */
const EXCESS_SCALE = 0.8;
const ROOM_BEYOND = 0.55;

/**
 * Error over tolerance on a scale that is true inside tolerance and folded beyond it.
 *
 * @remarks
 * Between -1 and 1 nothing changes. Further out the scale closes up, so that every unit has its place in
 * the picture however far it has gone: 2 comes to 1.39, 3 to 1.50, and nothing passes 1.55. For pictures
 * that say which side of the limit a unit is on, never for reading sizes off an axis.
 *
 * @param errorOverTolerance any finite number.
 * @example foldBeyondBank(0.4); // 0.4
 */
export function foldBeyondBank(errorOverTolerance: number): number {
  const excess = Math.abs(errorOverTolerance) - 1;
  if (excess <= 0) return errorOverTolerance;
  return Math.sign(errorOverTolerance) * (1 + ROOM_BEYOND * (1 - Math.exp(-excess / EXCESS_SCALE)));
}
