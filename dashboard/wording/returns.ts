import type { Obstacle } from "../../analysis/index.ts";
import type { PlannedUnit, ReturnsPlan } from "../assessment/plan-returns.ts";
import { counted, countedInWords, decimal, listed, percent } from "./numbers.ts";

/** Sentences about the return plan. */

/** From this probability on, the risk is given as the reason for a date. */
const WORTH_SAYING = 0.05;

/** Why a unit is booked where it is: "three weeks early: 31 % likely to be out by its due date, and week 30 is full". */
export function bookingWhy({ unit, week, reason }: PlannedUnit, weeks: ReturnsPlan["weeks"]): string {
  const nameOf = (w: number) => weekName(weeks[w]?.name ?? "");
  const clauses: string[] = [];
  if (reason.isFixed) clauses.push(isKept(unit, week, weeks) ? "kept" : "chosen by hand");
  if (week === null) {
    clauses.push(obstaclesText(reason.obstaclesUpToDue, nameOf, "no room"));
    return sentence("not booked", clauses);
  }
  if (unit.outBy === null) clauses.push("cannot be judged, so booked by its due date");
  else if (reason.riskAtDue >= WORTH_SAYING) clauses.push(riskText(reason));
  if (reason.weeksLate > 0) {
    clauses.push(obstaclesText(reason.obstaclesUpToDue, nameOf, "its due date is past"));
  } else if (!reason.isFixed && reason.obstacle !== null) {
    clauses.push(obstacleText(reason.obstacle, nameOf));
  } else if (!reason.isFixed && week !== reason.wantedWeek && reason.shippedWith > 0) {
    clauses.push(`travels with ${countedInWords(reason.shippedWith, "other")} of its site`);
  }
  return sentence(placeText(reason), clauses);
}

/** Whether a unit goes in the week that people keep for it. */
function isKept(
  { keptWeek }: PlannedUnit["unit"],
  week: number | null,
  weeks: ReturnsPlan["weeks"],
): boolean {
  return week !== null && keptWeek !== null && weeks[week]?.name === keptWeek;
}

function placeText({ weeksEarly, weeksLate }: PlannedUnit["reason"]): string {
  if (weeksLate > 0) return `${countedInWords(weeksLate, "week")} late`;
  if (weeksEarly! > 0) return `${countedInWords(weeksEarly!, "week")} early`;
  return weeksEarly! < 0 ? "at once, as its due date is past" : "in the week of its due date";
}

function riskText({ riskAtDue, riskAtReturn, weeksEarly }: PlannedUnit["reason"]): string {
  if (riskAtReturn! > 0.5 && riskAtDue - riskAtReturn! < 0.1) {
    return `${percent(riskAtReturn!)} likely to be out already`;
  }
  const atDue = `${percent(riskAtDue)} likely to be out by its due date`;
  return weeksEarly! > 0 ? `${atDue}, ${percent(riskAtReturn!)} by this week` : atDue;
}

/** What stands in the way, in words. */
export function obstacleText(obstacle: Obstacle, nameOf: (week: number) => string): string {
  switch (obstacle.kind) {
    case "full":
      return `${nameOf(obstacle.week)} is full`;
    case "closed":
      return `nothing is taken in in ${nameOf(obstacle.week)}`;
    case "skill":
      return `no workshop takes ${obstacle.skill}`;
    case "site":
      return `${obstacle.site} can spare ${counted(obstacle.awayAtOnce, "unit")} at once, and they are away in ${nameOf(obstacle.week)}`;
    case "geometry":
      return `${obstacle.site} would be left without ${obstacle.geometry} in ${nameOf(obstacle.week)}`;
  }
}

/** What fills the weeks up to a due date, each kind of obstacle once, by its first week. */
function obstaclesText(
  obstacles: readonly Obstacle[],
  nameOf: (week: number) => string,
  otherwise: string,
): string {
  const kinds = Map.groupBy(obstacles, ({ kind }) => kind);
  const parts = [...kinds.values()].map((same) => {
    const first = obstacleText(same[0]!, nameOf);
    return same.length > 1 ? `${first} (so in ${countedInWords(same.length - 1, "more week")})` : first;
  });
  return parts.length > 0 ? `up to its due date ${listed(parts)}` : otherwise;
}

function sentence(head: string, clauses: readonly string[]): string {
  return clauses.length > 0 ? `${head}: ${clauses.join(", and ")}` : head;
}

/** "2026-W14" -> "week 14". */
export function weekName(week: string): string {
  return `week ${Number(week.slice(6))}`;
}

/** Where capacity itself is too small: "48 units are due by week 20, and the workshops take 36 until then". */
export function shortageText({ shortage, weeks }: ReturnsPlan): string | null {
  if (shortage === null) return null;
  const week = weeks[shortage.week]?.name;
  const by = week === undefined ? "in all" : `by the end of ${weekName(week)}`;
  return `${counted(shortage.due, "unit is", "units are")} due ${by}, and ${counted(shortage.room, "place is", "places are")} to be had until then.`;
}

/** Whether the plan is the best there is, or how far off it may be. */
export function gapText({ gap }: ReturnsPlan): string {
  if (gap === null) return "How far this plan is from the best one is not known: the time was too short.";
  if (gap === 0) return "No other plan costs less.";
  return `The best plan costs at most ${percentOf(gap)} less.`;
}

function percentOf(share: number): string {
  return `${decimal(Math.ceil(share * 10_000) / 100, 2)}\u202f%`;
}
