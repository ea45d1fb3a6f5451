import type { PlanOutcome, ReturnedUnit } from "../../analysis/index.ts";
import type { KeepForm } from "../page-models/keep-form.ts";
import type { PackingPage } from "../page-models/packing.ts";
import type {
  ChosenUnit,
  Comparison,
  HandMove,
  PlanRules,
  ReturnBlock,
  ReturnRow,
  ReturnsPage,
  ReturnsPicture,
} from "../page-models/returns.ts";
import type { Variation } from "../page-models/returns-query.ts";
import { date } from "./dates.ts";
import { count, counted, decimal, listed, percent, sentenceCase, signed, THIN } from "./numbers.ts";
import type { Phrase } from "./phrase.ts";
import { gapText, shortageText, weekName } from "./returns.ts";
import { STATE_LABEL } from "./states.ts";

/** Sentences of the page of returns. */

export function returnsHeadline({ plan }: ReturnsPage): Phrase[] {
  const { unitsEarly, unitsLate, unplaced, daysOut } = plan.outcome;
  const all = plan.units.length;
  if (all === 0) return [{ text: "No unit has a date of its next service." }];
  const late = [
    ...(unitsLate > 0 ? [`${count(unitsLate)} ${unitsLate === 1 ? "has" : "have"} to go late`] : []),
    ...(unplaced > 0 ? [`${count(unplaced)} ${unplaced === 1 ? "finds" : "find"} no room`] : []),
  ];
  return [
    { text: `${count(unitsEarly)} of ${counted(all, "unit")}`, href: "#bookings" },
    { text: ` ${unitsEarly === 1 ? "is" : "are"} best returned early` },
    ...(late.length > 0 ? [{ text: `, and ${listed(late)}` }] : []),
    { text: `: ${days(daysOut)} out of tolerance to be expected before return, against ` },
    { text: days(plan.onDueDates.daysOut), href: "#what-if" },
    { text: " on the due dates." },
  ];
}

export function returnsRestOn(page: ReturnsPage): string {
  const overdue = page.plan.units.filter(({ dueDay }) => dueDay < page.asOfDay).length;
  return [
    `As of ${date(page.asOfDay)}`,
    rulesText(page.rules),
    ...(overdue > 0 ? [`${counted(overdue, "unit is", "units are")} past the due date already`] : []),
    gapText(page.plan).replace(/\.$/, ""),
  ].join(" \u00b7 ");
}

function rulesText({ capacity, spare, sparePercent, turnaroundWeeks }: PlanRules): string {
  const room = capacity === null ? "workshops as in the settings" : `${counted(capacity, "unit")} a week`;
  const away =
    spare === null ? `${sparePercent}${THIN}% of a site\u2019s units` : `${counted(spare, "unit")} of a site`;
  return `${room} \u00b7 ${away} away at once, for ${counted(turnaroundWeeks, "week")}`;
}

export function returnsCaption({ blocks }: ReturnsPicture): string {
  const block = blocks.some(({ unit }) => unit === null)
    ? "Each block is the units of one state, as many as it is high, in the week in which they leave"
    : "Each block is a unit in the week in which it leaves";
  return `${block}, the worst at the bottom, with a heavy edge where they are out and a light one where they are heading out. The water is what can be taken in; the line across is how many fall due in that week.`;
}

export function returnsAloud({ weeks }: ReturnsPicture): string {
  const busiest = weeks.reduce((a, b) => (b.booked > a.booked ? b : a), weeks[0]!);
  return `Bookings week by week, ${counted(weeks.length, "week")}; the fullest is ${weekName(busiest.name)} with ${counted(busiest.booked, "unit")}. The table below names them.`;
}

export function returnMarkTip({ unit, state, day, from, to }: ReturnBlock): string {
  const leaves = `${STATE_LABEL[state]}, ${to - from === 1 ? "leaves" : "leave"} ${date(day)}`;
  if (unit === null) return `${counted(to - from, "unit")}: ${leaves}`;
  return `${unit.instrument}${unit.site === null ? "" : ` \u00b7 ${unit.site}`}\n${leaves}\n${unit.why}`;
}

/** What binds where units go late or find no room; null where none does. */
export function noRoomText({ plan }: ReturnsPage): string | null {
  if (plan.outcome.unitsLate + plan.outcome.unplaced === 0) return null;
  return shortageText(plan) ?? "There is capacity enough; what binds stands beside each unit.";
}

export function riskPair({ riskAtDue, riskAtReturn }: ReturnRow): { at: string; due: string } {
  if (riskAtReturn === null || riskAtDue === null) return { at: "\u2013", due: "not judged" };
  return { at: percent(riskAtReturn), due: `${percent(riskAtDue)} by its due date` };
}

export function movedText({ weeksEarly, weeksLate }: ReturnRow): string {
  if (weeksLate > 0) return `${counted(weeksLate, "week")} late`;
  if (weeksEarly === null) return "no room";
  if (weeksEarly < 0) return "past its due date";
  return weeksEarly === 0 ? "on its due date" : `${counted(weeksEarly, "week")} early`;
}

/** What a unit moved by hand costs: "chosen week 22 in place of week 14: 31 % in place of 4 %, and 12 days more out of tolerance". */
export function handMoveText({
  row,
  freeWeek,
  freeRisk,
  freeDaysOut,
}: Omit<HandMove, "row"> & {
  readonly row: Pick<ReturnRow, "week" | "riskAtReturn" | "daysOut">;
}): string {
  const from = freeWeek === null ? "no booking" : weekName(freeWeek);
  if (freeWeek === row.week) return `${weekName(row.week!)}, where the plan has it too`;
  const risk =
    row.riskAtReturn === null || freeRisk === null
      ? "its risk is not known"
      : `${percent(row.riskAtReturn)} likely to be out when it leaves, in place of ${percent(freeRisk)}`;
  return `${weekName(row.week!)} in place of ${from}: ${risk}; ${signed(row.daysOut - freeDaysOut, 1)} days out of tolerance expected`;
}

export function keepHeading({ kept, released }: Pick<KeepForm, "kept" | "released">): string {
  const [one] = kept;
  if (released.length > 0)
    return `Leave ${released.length === 1 ? released[0] : counted(released.length, "unit")} to the plan again`;
  return kept.length === 1
    ? `Keep ${weekName(one!.week)} for ${one!.instrument}`
    : `Keep the weeks of ${counted(kept.length, "unit")}`;
}

export const KEPT_FOLLOWS =
  "The plan takes them as they are from now on, until they are released or the unit has come back, and goes on saying what that costs. A kept week does not extend a due date.";

export const RELEASED_FOLLOWS = "The plan chooses a week again. Both decisions stay on record.";

/** What all moves by hand come to, the other units planned round them. */
export function handMovesCost({ plan, free }: Pick<ReturnsPage, "plan" | "free">): string {
  const more = plan.outcome.daysOut - free.daysOut;
  return `For the whole plan: ${signed(more, 1)} days out of tolerance expected, ${signed(plan.outcome.weeksEarly - free.weeksEarly, 0)} weeks early, ${signed(plan.outcome.shipments - free.shipments, 0)} shipments.`;
}

export function comparisonName({ name, variation }: Comparison, rules: PlanRules): string {
  if (name === "plan") return "This plan";
  if (name === "due-dates") return "Everybody on the due date";
  return variationText(variation, rules);
}

function variationText({ capacity, spare, targetPercent }: Variation, rules: PlanRules): string {
  const parts = [
    ...(capacity === null || capacity === rules.capacity ? [] : [`${capacity} a week`]),
    ...(spare === null ? [] : [`${spare} of a site away`]),
    ...(targetPercent === null
      ? []
      : [`target ${decimal(targetPercent, targetPercent % 1 === 0 ? 0 : 1)}${THIN}%`]),
  ];
  return parts.length > 0 ? parts.join(", ") : "the same rules";
}

/** One row of the comparison, as text. */
export function outcomeTexts(outcome: PlanOutcome, overtimeWeeks: number, units: number): readonly string[] {
  return [
    count(Math.round(outcome.daysOut)),
    decimal(outcome.outAtReturn, 1),
    units === 0 ? "\u2013" : `${decimal(100 * (1 - outcome.outAtReturn / units), 1)}${THIN}%`,
    `${count(outcome.unitsEarly)} (${counted(outcome.weeksEarly, "week")})`,
    outcome.unplaced > 0
      ? `${count(outcome.unitsLate)}, ${count(outcome.unplaced)} without room`
      : count(outcome.unitsLate),
    count(overtimeWeeks),
    count(outcome.shipments),
  ];
}

export const OUTCOME_HEADS = [
  "Days out of tolerance",
  "Units out at return",
  "In tolerance at return",
  "Early",
  "Late",
  "Overtime weeks",
  "Shipments",
] as const;

export const WHAT_IF_CAPTION =
  "Expected by the forecast, before the return. A stricter target makes being out of tolerance dearer against going " +
  "early: half the share allowed out, twice the price. Overtime weeks take in more than this plan\u2019s capacity. Late counts the weeks after a due date that is still to come; of a unit that is past it already, the weeks from now on.";

export function packingHeading({ week, boxes }: PackingPage): string {
  const units = boxes.reduce((sum, box) => sum + box.units.length, 0);
  return `${sentenceCase(weekName(week))}: ${counted(units, "unit leaves", "units leave")} from ${counted(boxes.length, "site")}`;
}

/** What goes with every unit: common practice, no source. */
export const PACKING_CHECKLIST = [
  "cleaned, and checked as found before it leaves",
  "transport lock set as the maker asks",
  "its geometries and thermometer, where they are to be calibrated with it",
  "the last check and the reason for the return, on paper",
] as const;

/** Forecast against finding in one word: told, not told, or rightly left alone. */
export function againstFinding({ forecast, wasSound }: ReturnedUnit): string {
  if (forecast === null) return "not judged before";
  if (wasSound) return forecast >= 0.5 ? "was expected out" : "as expected";
  return forecast >= 0.5 ? "as expected" : "not expected";
}

/** "Of 180 units that came back within a year 12 were found out, 9 of them expected; 3 were expected out and were not." */
export function returnedSummary(returned: readonly ReturnedUnit[]): string {
  const out = returned.filter(({ wasSound }) => !wasSound);
  const expected = (units: readonly ReturnedUnit[]) =>
    units.filter(({ forecast }) => (forecast ?? 0) >= 0.5).length;
  const sum = returned.reduce((total, { forecast }) => total + (forecast ?? 0), 0);
  return `Of ${counted(returned.length, "return")} within a year ${count(out.length)} found a unit out of tolerance, where ${decimal(sum, 0)} were to be expected; ${count(expected(out))} of them had been given half or more, as did ${counted(expected(returned) - expected(out), "unit")} found sound. The forecast is of the unit\u2019s own error on any day before; the finding is one check as it was read.`;
}

export function weekChoiceText(week: ChosenUnit["weeks"][number]): string {
  const notes = [
    ...(week.isBooked ? ["booked now"] : []),
    ...(week.isDue ? ["due"] : []),
    ...(week.isLate ? ["late"] : []),
  ];
  return notes.join(", ");
}

function days(n: number): string {
  return counted(Math.round(n), "day");
}
