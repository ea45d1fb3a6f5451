import type { ReviewEntry, WatchSignal } from "../../analysis/index.ts";
import { isoOfDay } from "../assessment/days.ts";
import type { FleetView, ReviewView } from "../assessment/views.ts";
import type { FigureRow } from "../tables/csv.ts";
import { type UnitRow, unitRow } from "./unit-row.ts";

/** The units worth a look this week: those that the charts signalled, and those that stand out over the whole fleet. */
export interface ReviewPage {
  readonly asOf: string;
  readonly units: number;
  /** Signals from this day on are news. */
  readonly fromDay: number;
  /** Only this site's; null: all. */
  readonly site: string | null;
  /** Every site with something to look at, with how much. */
  readonly sites: readonly { readonly site: string; readonly units: number }[];
  /** By site, then the most striking first. */
  readonly rows: readonly ReviewRow[];
}

export interface ReviewRow {
  readonly unit: UnitRow;
  /** Why it stands out over the whole fleet; null: only a chart signalled. */
  readonly standsOut: ReviewEntry | null;
  /** Newest first. */
  readonly signals: readonly WatchSignal[];
}

/** Units that belong to no site stand under this. */
const NO_SITE = "";

/** Who is to be looked at, of one site or of all. */
export function reviewPage(fleet: FleetView, review: ReviewView, site: string | null): ReviewPage {
  const entries = new Map(review.review.map((entry) => [entry.instrument, entry]));
  const signals = Map.groupBy([...review.signals].reverse(), ({ instrument }) => instrument);
  const all = fleet.assessment.units
    .filter(({ instrument }) => entries.has(instrument) || signals.has(instrument))
    .map((forecast) => ({
      unit: unitRow(forecast, fleet),
      standsOut: entries.get(forecast.instrument) ?? null,
      signals: signals.get(forecast.instrument) ?? [],
    }))
    .sort(bySiteThenStriking);
  const bySite = Map.groupBy(all, ({ unit }) => unit.site ?? NO_SITE);
  return {
    asOf: fleet.asOf,
    units: fleet.assessment.units.length,
    fromDay: review.fromDay,
    site,
    sites: [...bySite].map(([name, rows]) => ({ site: name, units: rows.length })),
    rows: site === null ? all : (bySite.get(site) ?? []),
  };
}

function bySiteThenStriking(a: ReviewRow, b: ReviewRow): number {
  const sites = (a.unit.site ?? NO_SITE).localeCompare(b.unit.site ?? NO_SITE);
  return sites || (a.standsOut?.p ?? 1) - (b.standsOut?.p ?? 1);
}

/** One row a unit, for CSV and JSON. */
export function reviewFigures({ rows }: ReviewPage): FigureRow[] {
  return rows.map(({ unit, standsOut, signals }) => ({
    instrument: unit.instrument,
    site: unit.site,
    state: unit.state,
    p_in_a_sound_unit: standsOut?.p ?? null,
    quantity: standsOut?.quantity ?? signals[0]?.quantity ?? null,
    because: standsOut?.because ?? null,
    signals: signals.length,
    latest_signal: signals[0] === undefined ? null : isoOfDay(signals[0].onDay),
    latest_chart: signals[0]?.chart ?? null,
    next_step: unit.step,
  }));
}

/** The list, of one site or of all. */
export function reviewAddress(site: string | null): string {
  return site === null ? "/worth-a-look" : `/worth-a-look?${new URLSearchParams({ site })}`;
}
