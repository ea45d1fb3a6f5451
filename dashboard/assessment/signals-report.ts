import type { FleetWatch, WatchSignal } from "../../analysis/index.ts";
import { signalNote } from "../wording/signals.ts";
import { isoOfDay } from "./days.ts";

/** The document that `signals --json` prints, oldest signal first; `size` and `limit` in the chart's own unit. */
export function signalsReport({ budget, signals, review }: FleetWatch) {
  return {
    budget: {
      false_alarms_per_month: budget?.falseAlarmsPerMonth ?? 0,
      streams: budget?.streams ?? 0,
      run_length: budget?.runLength ?? 0,
    },
    signals: signals.map(signalFigures),
    review: review.map(({ instrument, p, quantity, because }) => ({ instrument, p, quantity, because })),
  };
}

export function signalFigures(signal: WatchSignal) {
  const {
    instrument,
    onDay,
    chart,
    quantity,
    size,
    limit,
    change,
    confirmed,
    betweenDays,
    changed,
    withinCheck,
  } = signal;
  return {
    instrument,
    on: isoOfDay(onDay),
    chart,
    quantity,
    size,
    limit,
    note: signalNote(signal),
    change,
    confirmed,
    between: betweenDays?.map(isoOfDay) ?? null,
    changed,
    within_check: withinCheck,
  };
}
