import { ImpossibleValueError } from "../errors.ts";

/** The simple methods for intervals of ILAC-G24:2022 / OIML D 10:2022, and the rule that joins all methods. */

/** How a staircase moves: longer by this share after a unit was found within tolerance, shorter by the other after not. */
export interface Staircase {
  readonly longer: number;
  readonly shorter: number;
}

/**
 * The staircase that settles at a reliability target: a step down undoes as many steps up as the target allows.
 *
 * @remarks R ln(1 + a) + (1 - R) ln(1 - b) = 0. With a = 0.1 and R = 0.95 one finding cuts the interval to a sixth: the
 * method is wild, and stands beside the others for comparison.
 *
 * Source: method 1 (calendar time staircase) of ILAC-G24:2022 / OIML D 10:2022; the balance by derivation.
 *
 * @param longer Share by which the interval grows after a unit was found within tolerance.
 */
export function staircaseFor(target: number, longer = 0.1): Staircase {
  if (!(target > 0 && target < 1)) {
    throw new ImpossibleValueError("staircaseFor", "reliability target", "above 0 and below 1", target);
  }
  return { longer, shorter: 1 - (1 + longer) ** (-target / (1 - target)) };
}

/**
 * The interval that a staircase has come to after some findings.
 *
 * @param wereSound Whether the unit was found within tolerance, oldest first.
 */
export function staircaseInterval(
  start: number,
  wereSound: readonly boolean[],
  { longer, shorter }: Staircase,
): number {
  return wereSound.reduce((interval, sound) => interval * (sound ? 1 + longer : 1 - shorter), start);
}

/**
 * The calendar interval in which a unit is used as long as its group may be.
 *
 * Source: method 3 (in-use time) of ILAC-G24:2022 / OIML D 10:2022.
 *
 * @param hoursEarned Hours in use after which the group's target is reached.
 * @param hoursAWeek Hours in use of this unit.
 * @returns Unit: days.
 */
export function inUseInterval(hoursEarned: number, hoursAWeek: number): number {
  return (7 * hoursEarned) / hoursAWeek;
}

/** An interval proposed: the best estimate, and one that is surely short enough. Unit: days. */
export interface EarnedInterval {
  readonly days: number;
  /** With 80 % confidence the target is kept up to here. */
  readonly sureDays: number;
}

export type IntervalAdvice = "shorten" | "keep" | "lengthen";

/** Never longer than this many times the present interval in one go. */
const MOST_LENGTHENING = 1.5;

/** A change by less is none. */
const WORTHWHILE = 0.1;

/**
 * What to do about an interval: shorter on the best estimate alone, longer only on strong evidence.
 *
 * @remarks Lengthening needs the target to be kept with 80 % confidence, goes to at most 1.5 times the present
 * interval, and never beyond the organisation's maximum. Uneven on purpose: a design choice of this program.
 * Where the maker or a rule of accreditation fixes the interval, only "shorten" is of use.
 *
 * @param longest The organisation's maximum. Unit: days.
 */
export function adviseInterval(
  presentDays: number,
  { days, sureDays }: EarnedInterval,
  longest: number,
): { advice: IntervalAdvice; days: number } {
  const bounded = Math.min(days, longest);
  if (bounded < presentDays * (1 - WORTHWHILE)) return { advice: "shorten", days: bounded };
  const longer = Math.min(sureDays, MOST_LENGTHENING * presentDays, longest);
  if (longer > presentDays * (1 + WORTHWHILE)) return { advice: "lengthen", days: longer };
  return { advice: "keep", days: Math.min(presentDays, longest) };
}
