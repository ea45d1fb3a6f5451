import { QUANTITIES, type QuantityChart } from "../../analysis/index.ts";
import { isoOfDay } from "../assessment/days.ts";
import type { IndividualsChart, UnitView } from "../assessment/views.ts";
import { HttpError } from "../errors.ts";
import type { FigureRow } from "../tables/csv.ts";
import { type WatchRow, watchOf } from "./watch.ts";

/** Everything charted of one quantity of one unit. */
export interface QuantityPage {
  readonly asOf: string;
  readonly instrument: string;
  readonly row: WatchRow;
  readonly chart: QuantityChart;
  readonly individuals: IndividualsChart | null;
}

/** @throws {HttpError} 404 where nothing of that name is charted. */
export function quantityPage(view: UnitView, name: string): QuantityPage {
  const { rows, charts } = watchOf(view);
  const row = rows.find(({ quantity }) => quantity === name);
  const chart = charts.find(({ quantity }) => quantity === name);
  if (row !== undefined && chart !== undefined) {
    const individuals = view.charts.find(({ quantity }) => quantity === name) ?? null;
    return { asOf: view.asOf, instrument: view.instrument.instrument, row, chart, individuals };
  }
  const isKnown = QUANTITIES.some((quantity) => quantity === name);
  throw new HttpError(
    404,
    isKnown ? "Its checks since the last adjustment do not tell this." : "There is no such chart.",
    "The unit\u2019s page lists what is charted.",
  );
}

/** One row a check: value, and where it stands on each chart with its limit. */
export function quantityFigures({ chart, individuals }: QuantityPage): FigureRow[] {
  const { limits, cusumInterval, points } = chart;
  return points.map((point, i) => ({
    checked_on: isoOfDay(point.day),
    value: point.value,
    sd: point.sd,
    lower: individuals?.lower ?? null,
    upper: individuals?.upper ?? null,
    moving_range: individuals?.points[i]?.range ?? null,
    moving_range_limit: individuals?.rangeUpper ?? null,
    level: point.level,
    level_limit: limits.level,
    innovation: point.step,
    innovation_limit_two_in_a_row: limits.step,
    innovation_limit_one_check: limits.check,
    sum_up: point.sumUp,
    sum_down: point.sumDown,
    sum_limit: cusumInterval,
    scatter: point.scatter,
    scatter_limit: limits.scatter,
  }));
}
