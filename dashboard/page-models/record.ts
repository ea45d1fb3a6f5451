import {
  FAILURES_TO_JUDGE,
  failuresIn,
  livesIn,
  type RecordClass,
  recordClasses,
} from "../../analysis/index.ts";
import { backtestReport, byDayMade } from "../assessment/backtest-report.ts";
import { dayOfIso, isoOfDay } from "../assessment/days.ts";
import type { TrackRecord } from "../assessment/track-record.ts";
import type { RecordView } from "../assessment/views.ts";
import type { FigureRow } from "../tables/csv.ts";

/** The forecasts' own record. */
export interface RecordPage {
  readonly asOf: string;
  /** What is under way; null: nothing is. */
  readonly progress: RecordView["progress"];
  /** null: none was worked out yet. */
  readonly record: RecordSummary | null;
  readonly isCurrent: boolean;
}

export interface RecordSummary {
  readonly asOfDay: number;
  readonly forecasts: number;
  /** Services of units that were forecast, and those before which the unit went out. */
  readonly lives: number;
  readonly wentOut: number;
  readonly tooFew: boolean;
  readonly classes: readonly ClassRow[];
  /** The class that says most about doubtful cases, to quote; null: none holds units enough. */
  readonly quote: ClassRow | null;
  readonly skill: {
    readonly overBaseRate: number | null;
    readonly overLastValue: number | null;
    readonly overStraightLine: number | null;
  };
  readonly leadTime: {
    readonly wentOut: number;
    readonly announced: number;
    readonly medianDays: number | null;
  };
  readonly coverage: { readonly checks: number; readonly half: number; readonly ninety: number } | null;
  readonly days: readonly {
    readonly day: number;
    readonly forecasts: number;
    readonly expected: number;
    readonly wentOut: number;
  }[];
}

export interface ClassRow extends RecordClass {
  /** Whether chance explains what came if what was said was right. */
  readonly cameTrue: boolean;
}

/** Right forecasts have some class called wrong this often; shared among the classes. */
const WRONG_ALARMS = 0.05;

/** A class with fewer units than this says nothing by itself. */
const UNITS_TO_QUOTE = 10;
/** The class that people ask about: neither safe nor lost. */
const QUOTED_PROBABILITY = 0.3;

/** What the page of the record says. */
export function recordPage({ asOf, record, isCurrent, progress }: RecordView): RecordPage {
  return { asOf, progress, isCurrent, record: record === null ? null : recordSummary(record) };
}

/** A record in counts; also for what other pages quote of it. */
export function recordSummary({ asOf, backTest }: TrackRecord): RecordSummary {
  const forecasts = backTest?.forecasts ?? [];
  const counted = recordClasses(forecasts);
  const classes = counted.map(
    (row): ClassRow => ({ ...row, cameTrue: row.chance >= WRONG_ALARMS / counted.length }),
  );
  const wentOut = failuresIn(forecasts);
  return {
    asOfDay: dayOfIso(asOf),
    forecasts: forecasts.length,
    lives: livesIn(forecasts),
    wentOut,
    tooFew: wentOut < FAILURES_TO_JUDGE,
    classes,
    quote: quoteOf(classes),
    skill: backTest?.skill ?? { overBaseRate: null, overLastValue: null, overStraightLine: null },
    leadTime: backTest?.leadTime ?? { wentOut: 0, announced: 0, medianDays: null },
    coverage: backTest?.coverage ?? null,
    days: byDayMade(backTest).map(({ went_out, ...day }) => ({ ...day, wentOut: went_out })),
  };
}

function quoteOf(classes: readonly ClassRow[]): ClassRow | null {
  const away = ({ from, to }: ClassRow): number => Math.abs((from + to) / 2 - QUOTED_PROBABILITY);
  const enough = classes.filter(({ units }) => units >= UNITS_TO_QUOTE);
  return enough.sort((a, b) => away(a) - away(b))[0] ?? null;
}

/** The record's figures for programs: those of `springtide backtest --json`, and how far the work is. */
export function recordFigures(view: RecordView): Record<string, unknown> {
  return {
    as_of: view.asOf,
    is_current: view.isCurrent,
    progress: view.progress,
    record: view.record && backtestReport(view.record),
  };
}

/** One row a forecast that was held against what came. */
export function forecastFigures({ record, asOf }: RecordView): FigureRow[] {
  const forecasts = record?.backTest?.forecasts ?? [];
  // A file without rows would have no header.
  if (forecasts.length === 0) return [{ as_of: asOf, forecasts: 0 }];
  return forecasts.map(({ instrument, madeOnDay, serviceDay, p, wentOut, foundOnDay, plain }) => ({
    instrument,
    made_on: isoOfDay(madeOnDay),
    service: isoOfDay(serviceDay),
    p_out_before_service: p,
    by_last_value: plain?.lastValue ?? null,
    by_straight_line: plain?.straightLine ?? null,
    went_out: wentOut,
    found_on: foundOnDay === null ? null : isoOfDay(foundOnDay),
  }));
}
