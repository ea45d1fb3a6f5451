import type { Obstacle, PlanOutcome, ReturnedUnit, UnitState } from "../../analysis/index.ts";
import { movedUnits, overtimeWeeks } from "../assessment/compare-plans.ts";
import { isoOfDay } from "../assessment/days.ts";
import { mondayOf } from "../assessment/iso-weeks.ts";
import { obstaclesOf, type PlannedUnit, type ReturnsPlan } from "../assessment/plan-returns.ts";
import type { FleetView, ReturnsView } from "../assessment/views.ts";
import { HttpError } from "../errors.ts";
import { bookingWhy } from "../wording/returns.ts";
import { questionsOf, type ReturnsQuery, type Variation } from "./returns-query.ts";

/** The return plan: when every unit goes, why, and what other rules would come to. */
export interface ReturnsPage {
  readonly asOf: string;
  readonly asOfDay: number;
  readonly query: ReturnsQuery;
  readonly plan: ReturnsPlan;
  /** The rules in force: of the address, else of the settings. */
  readonly rules: PlanRules;
  readonly picture: ReturnsPicture;
  /** Every booking, in the order of the weeks. */
  readonly rows: readonly ReturnRow[];
  readonly list: ReturnsList;
  readonly withoutRoom: readonly ReturnRow[];
  readonly withoutDate: readonly string[];
  /** What was moved by hand, and what that costs; empty where nothing was. */
  readonly byHand: readonly HandMove[];
  /** The plan as it would be without what was moved by hand. */
  readonly free: PlanOutcome;
  readonly comparisons: readonly Comparison[];
  readonly chosen: ChosenUnit | null;
  /** Units that came back within a year, the latest first. */
  readonly returned: readonly ReturnedUnit[];
}

/** The bookings that the page lists: of one week, of the next ones or of all, some at once. */
export interface ReturnsList {
  readonly rows: readonly ReturnRow[];
  /** All that it is about, on all its pages. */
  readonly count: number;
  readonly page: number;
  readonly pages: number;
  /** Bookings of later weeks. */
  readonly hidden: number;
}

export interface PlanRules {
  /** null: the workshops of the settings. */
  readonly capacity: number | null;
  readonly spare: number | null;
  readonly sparePercent: number;
  readonly targetPercent: number;
  readonly turnaroundWeeks: number;
}

export interface ReturnRow {
  readonly instrument: string;
  readonly site: string | null;
  readonly state: UnitState;
  readonly dueDay: number;
  /** null: no room. */
  readonly week: string | null;
  readonly leavesDay: number | null;
  readonly workshop: string | null;
  readonly weeksEarly: number | null;
  readonly weeksLate: number;
  /** null: not judged. */
  readonly riskAtDue: number | null;
  readonly riskAtReturn: number | null;
  readonly daysOut: number;
  readonly why: string;
  readonly isByHand: boolean;
  /** Whether it goes in the week that people keep for it. */
  readonly isKept: boolean;
}

/** One unit moved by hand, beside where the plan would have it. */
export interface HandMove {
  readonly row: ReturnRow;
  readonly freeWeek: string | null;
  readonly freeRisk: number | null;
  readonly freeDaysOut: number;
}

export interface Comparison {
  readonly name: "plan" | "due-dates" | "variation";
  readonly variation: Variation;
  readonly outcome: PlanOutcome;
  /** Weeks in which it takes in more than the plan's own capacity. */
  readonly overtimeWeeks: number;
}

/** The weeks of one unit, to choose from. */
export interface ChosenUnit {
  readonly row: ReturnRow;
  readonly weeks: readonly {
    readonly week: string;
    readonly leavesDay: number;
    readonly risk: number | null;
    readonly obstacle: Obstacle | null;
    readonly free: number;
    readonly isBooked: boolean;
    readonly isDue: boolean;
    readonly isLate: boolean;
  }[];
}

/** Weeks as columns: what can be taken in as water, units as blocks. */
export interface ReturnsPicture {
  readonly weeks: readonly {
    /** Its Monday. */
    readonly day: number;
    readonly name: string;
    readonly capacity: number;
    readonly booked: number;
    readonly due: number;
  }[];
  readonly blocks: readonly ReturnBlock[];
}

/** Units of one week and one state: each by itself, or all as one where there are too many to be told apart. */
export interface ReturnBlock {
  readonly state: UnitState;
  /** The Monday of its week. */
  readonly day: number;
  readonly week: string;
  /** Places from the bottom that it takes up. */
  readonly from: number;
  readonly to: number;
  /** null: several. */
  readonly unit: Pick<ReturnRow, "instrument" | "site" | "why"> | null;
}

/** As many weeks as one plans closely. */
const WEEKS_LISTED = 8;
const ROWS_PER_PAGE = 50;

/** More blocks than this are too small to be met with a pointer, and too much for a page to carry. */
const MOST_BLOCKS = 800;

/** The worst at the bottom of each column. */
const STATE_ORDER: readonly UnitState[] = ["out", "heading-out", "leaning", "steady", "unjudged"];

/** @throws {HttpError} 404 for a unit that is not in the plan, 400 for a week that cannot be booked. */
export function returnsPage(fleet: FleetView, view: ReturnsView, query: ReturnsQuery): ReturnsPage {
  const [plan, free, ...variations] = view.plans;
  checkChoices(view, query);
  const states = new Map(fleet.assessment.units.map((unit) => [unit.instrument, unit.state]));
  const rowOf = (unit: PlannedUnit, of: ReturnsPlan): ReturnRow =>
    returnRow(unit, of, states.get(unit.unit.instrument) ?? "unjudged");
  const rows = plan!.units.filter((unit) => unit.week !== null).map((unit) => rowOf(unit, plan!));
  const { planning, reliability_target } = view.settings;
  return {
    asOf: fleet.asOf,
    asOfDay: fleet.assessment.asOfDay,
    query,
    plan: plan!,
    rules: {
      capacity:
        planning.workshops.length > 0 && query.capacity === null ? null : (plan!.weeks[0]?.capacity ?? 0),
      spare: query.spare,
      sparePercent: planning.spare_percent,
      targetPercent: query.targetPercent ?? 100 * reliability_target,
      turnaroundWeeks: planning.turnaround_weeks,
    },
    picture: pictureOf(plan!, rows),
    rows,
    list: listOf(rows, query, fleet.assessment.asOfDay),
    withoutRoom: plan!.units.filter((unit) => unit.week === null).map((unit) => rowOf(unit, plan!)),
    withoutDate: plan!.withoutDate.map((unit) => unit.instrument),
    byHand: movedUnits(plan!, free!).map(({ moved, free: other }) => {
      const { week, riskAtReturn, daysOut } = rowOf(other, free!);
      return { row: rowOf(moved, plan!), freeWeek: week, freeRisk: riskAtReturn, freeDaysOut: daysOut };
    }),
    free: free!.outcome,
    comparisons: comparisonsOf(query, plan!, variations),
    chosen: chosenUnit(view, query, rowOf),
    returned: view.input.returned,
  };
}

function listOf(rows: readonly ReturnRow[], query: ReturnsQuery, asOfDay: number): ReturnsList {
  const closeUntil = asOfDay + 7 * WEEKS_LISTED;
  const meant = rows.filter(({ week, leavesDay }) =>
    query.week === null ? query.all || leavesDay! < closeUntil : week === query.week,
  );
  const pages = Math.max(1, Math.ceil(meant.length / ROWS_PER_PAGE));
  const page = Math.min(query.page, pages);
  return {
    rows: meant.slice((page - 1) * ROWS_PER_PAGE, page * ROWS_PER_PAGE),
    count: meant.length,
    page,
    pages,
    hidden: rows.length - meant.length,
  };
}

function checkChoices({ input }: ReturnsView, { fixed, unit }: ReturnsQuery): void {
  const planned = new Set(input.units.filter((u) => u.dueDay !== null).map((u) => u.instrument));
  for (const name of [...fixed.map(({ instrument }) => instrument), ...(unit === null ? [] : [unit])]) {
    if (!planned.has(name)) {
      throw new HttpError(
        404,
        `The return plan has no unit called \u201c${name}\u201d.`,
        "It holds every unit with a date of its next service.",
      );
    }
  }
  for (const { week } of fixed) {
    if (!input.weeks.some(({ name }) => name === week)) {
      throw new HttpError(
        400,
        `Week ${week} cannot be booked.`,
        `The weeks are ${input.weeks[0]!.name} to ${input.weeks.at(-1)!.name}.`,
      );
    }
  }
}

function returnRow(planned: PlannedUnit, plan: ReturnsPlan, state: UnitState): ReturnRow {
  const { unit, reason } = planned;
  const week = planned.week === null ? null : plan.weeks[planned.week]!;
  return {
    instrument: unit.instrument,
    site: unit.site,
    state,
    dueDay: planned.dueDay,
    week: week?.name ?? null,
    leavesDay: week?.firstDay ?? null,
    workshop: planned.workshop,
    weeksEarly: reason.weeksEarly,
    weeksLate: reason.weeksLate,
    riskAtDue: unit.outBy === null ? null : reason.riskAtDue,
    riskAtReturn: unit.outBy === null ? null : reason.riskAtReturn,
    daysOut: planned.daysOut,
    why: bookingWhy(planned, plan.weeks),
    isByHand: reason.isFixed,
    isKept: reason.isFixed && week !== null && week.name === unit.keptWeek,
  };
}

type RowOf = (unit: PlannedUnit, plan: ReturnsPlan) => ReturnRow;

function comparisonsOf(
  query: ReturnsQuery,
  plan: ReturnsPlan,
  variations: readonly ReturnsPlan[],
): Comparison[] {
  const own: Variation = query;
  const overtime = (other: ReturnsPlan) => overtimeWeeks(other, plan);
  return [
    { name: "plan", variation: own, outcome: plan.outcome, overtimeWeeks: overtime(plan) },
    { name: "due-dates", variation: own, outcome: plan.onDueDates, overtimeWeeks: 0 },
    ...variations.map(
      (other, k): Comparison => ({
        name: "variation",
        variation: query.against[k]!,
        outcome: other.outcome,
        overtimeWeeks: overtime(other),
      }),
    ),
  ];
}

function chosenUnit(view: ReturnsView, query: ReturnsQuery, rowOf: RowOf): ChosenUnit | null {
  const plan = view.plans[0]!;
  const name = query.unit;
  const planned = plan.units.find(({ unit }) => unit.instrument === name);
  if (name === null || planned === undefined) return null;
  const obstacles = obstaclesOf(view.input, questionsOf(query)[0]!, view.settings, plan, name);
  const due = Math.max(
    0,
    plan.weeks.findLastIndex((week) => week.firstDay <= planned.dueDay),
  );
  // Also the units of sites that one does not see take up room.
  const free = (w: number) =>
    Math.max(0, plan.weeks[w]!.capacity - plan.weeks[w]!.booked + (w === planned.week ? 1 : 0));
  return {
    row: rowOf(planned, plan),
    weeks: plan.weeks.map((week, w) => ({
      week: week.name,
      leavesDay: week.firstDay,
      risk: planned.unit.outBy?.[w] ?? null,
      obstacle: obstacles[w] ?? (free(w) === 0 ? { kind: "full", week: w, capacity: week.capacity } : null),
      free: free(w),
      isBooked: w === planned.week,
      isDue: w === due,
      isLate: w > due,
    })),
  };
}

function pictureOf(plan: ReturnsPlan, rows: readonly ReturnRow[]): ReturnsPicture {
  const columns = Map.groupBy(rows, ({ week }) => week);
  return {
    weeks: plan.weeks.map(({ firstDay, name, capacity, booked, due }) => ({
      day: mondayOf(firstDay),
      name,
      capacity,
      booked,
      due,
    })),
    blocks: [...columns.values()].flatMap((column) =>
      blocksOf(
        column.toSorted((a, b) => STATE_ORDER.indexOf(a.state) - STATE_ORDER.indexOf(b.state)),
        rows.length <= MOST_BLOCKS,
      ),
    ),
  };
}

/** @param column The units of one week, from the bottom up. */
function blocksOf(column: readonly ReturnRow[], isEachItself: boolean): ReturnBlock[] {
  const block = (first: number, to: number): ReturnBlock => {
    const { state, leavesDay, week, instrument, site, why } = column[first]!;
    const unit = isEachItself ? { instrument, site, why } : null;
    return { state, day: mondayOf(leavesDay!), week: week!, from: first, to, unit };
  };
  if (isEachItself) return column.map((_, place) => block(place, place + 1));
  return STATE_ORDER.flatMap((state) => {
    const first = column.findIndex((row) => row.state === state);
    return first < 0 ? [] : [block(first, column.findLastIndex((row) => row.state === state) + 1)];
  });
}

/** The plan's bookings flat, for JSON and CSV. Probabilities 0 to 1. */
export function returnFigures(row: ReturnRow): Record<string, string | number | boolean | null> {
  return {
    instrument: row.instrument,
    site: row.site,
    state: row.state,
    due: isoOfDay(row.dueDay),
    week: row.week,
    leaves: row.leavesDay === null ? null : isoOfDay(row.leavesDay),
    workshop: row.workshop,
    weeks_early: row.weeksEarly,
    weeks_late: row.weeksLate,
    p_out_by_due: row.riskAtDue,
    p_out_at_return: row.riskAtReturn,
    expected_out_days: row.daysOut,
    by_hand: row.isByHand,
    kept: row.isKept,
    why: row.why,
  };
}
