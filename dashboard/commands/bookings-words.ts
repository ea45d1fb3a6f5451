import { movedUnits, overtimeWeeks } from "../assessment/compare-plans.ts";
import { isoOfDay } from "../assessment/days.ts";
import type { ReturnsPlan } from "../assessment/plan-returns.ts";
import { date } from "../wording/dates.ts";
import { counted, decimal } from "../wording/numbers.ts";
import { bookingWhy, gapText, shortageText } from "../wording/returns.ts";
import { handMovesCost, handMoveText, OUTCOME_HEADS, outcomeTexts } from "../wording/returns-page.ts";
import { textTable } from "./text-table.ts";

/** A plan with other rules, to be compared. */
export interface BesideIt {
  readonly rules: string;
  readonly plan: ReturnsPlan;
}

/** One such plan for JSON. */
export function besideReport({ rules, plan: other }: BesideIt, plan: ReturnsPlan) {
  const { outcome } = other;
  return {
    rules,
    expected_out_days: outcome.daysOut,
    units_out_at_return: outcome.outAtReturn,
    units_early: outcome.unitsEarly,
    weeks_early: outcome.weeksEarly,
    units_late: outcome.unitsLate,
    unplaced: outcome.unplaced,
    overtime_weeks: overtimeWeeks(other, plan),
    shipments: outcome.shipments,
    gap: other.gap,
  };
}

/** The plan, what was moved by hand, and the plans held beside it, in words. */
export function bookingsInWords(plan: ReturnsPlan, free: ReturnsPlan, beside: readonly BesideIt[]): string {
  const rows = plan.units.map((unit) => {
    const week = unit.week === null ? null : plan.weeks[unit.week]!;
    return [
      week?.name ?? "none",
      week === null ? "" : date(week.firstDay),
      unit.unit.instrument,
      unit.unit.site ?? "",
      date(unit.dueDay),
      bookingWhy(unit, plan.weeks).replaceAll("\u202f", " "),
    ];
  });
  return [
    `${summary(plan)}\n`,
    ...movedInWords(plan, free),
    ...(beside.length > 0 ? [comparison(plan, beside)] : []),
    textTable(["week", "leaves", "unit", "site", "due", "why"], rows),
    ...(plan.withoutDate.length > 0
      ? [`${counted(plan.withoutDate.length, "unit has", "units have")} no service date and no booking.\n`]
      : []),
    "A forecast is a probability, not a statement of conformity, and does not extend a due date.\n",
  ].join("\n");
}

function summary(plan: ReturnsPlan): string {
  const { outcome, onDueDates, asOfDay } = plan;
  const pastDue = plan.units.filter(({ dueDay }) => dueDay < asOfDay).length;
  const shortage = outcome.unitsLate + outcome.unplaced > 0 ? shortageText(plan) : null;
  return [
    `As of ${isoOfDay(asOfDay)}: ${counted(outcome.unitsEarly, "unit goes", "units go")} early, ${outcome.unitsLate} late, ${outcome.unplaced} without room; ${pastDue} past the due date already.`,
    `Expected days out of tolerance before return: ${decimal(outcome.daysOut, 0)}, with everybody on the due date ${decimal(onDueDates.daysOut, 0)}.`,
    gapText(plan).replaceAll("\u202f", " "),
    ...(shortage === null ? [] : [shortage]),
  ].join("\n");
}

function movedInWords(plan: ReturnsPlan, free: ReturnsPlan): string[] {
  const lines = movedUnits(plan, free).map(({ moved, free: other }) => {
    const row = {
      week: moved.week === null ? null : plan.weeks[moved.week]!.name,
      riskAtReturn: moved.unit.outBy === null ? null : moved.reason.riskAtReturn,
      daysOut: moved.daysOut,
    };
    const move = {
      row,
      freeWeek: other.week === null ? null : free.weeks[other.week]!.name,
      freeRisk: other.unit.outBy === null ? null : other.reason.riskAtReturn,
      freeDaysOut: other.daysOut,
    };
    const how = row.week !== null && row.week === moved.unit.keptWeek ? "kept" : "moved by hand";
    return `${moved.unit.instrument}, ${how}, goes in ${handMoveText(move)}.`;
  });
  if (lines.length === 0) return [];
  return [
    `${[...lines, handMovesCost({ plan, free: free.outcome })].join("\n").replaceAll("\u202f", " ")}\n`,
  ];
}

function comparison(plan: ReturnsPlan, beside: readonly BesideIt[]): string {
  const row = (name: string, other: ReturnsPlan, outcome: ReturnsPlan["outcome"], overtime: number) => [
    name,
    ...outcomeTexts(outcome, overtime, other.units.length).map((text) => text.replaceAll("\u202f", " ")),
  ];
  return textTable(
    ["rules", ...OUTCOME_HEADS.map((head) => `>${head.toLowerCase()}`)],
    [
      row("this plan", plan, plan.outcome, 0),
      row("everybody on the due date", plan, plan.onDueDates, 0),
      ...beside.map(({ rules, plan: other }) => row(rules, other, other.outcome, overtimeWeeks(other, plan))),
    ],
  );
}
