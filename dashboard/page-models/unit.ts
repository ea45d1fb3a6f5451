import type { QuantityChart, SinceWhen, UnitForecast } from "../../analysis/index.ts";
import { dayOfIso, isoOfDay } from "../assessment/days.ts";
import type { StandingJudgement } from "../assessment/judgements.ts";
import { windowReport } from "../assessment/out-findings.ts";
import { signalFigures } from "../assessment/signals-report.ts";
import type { IndividualsChart, UnitReading, UnitView } from "../assessment/views.ts";
import type { FigureRow } from "../tables/csv.ts";
import { driftPerYear } from "./drift-rate.ts";
import { type Evidence, evidenceOf } from "./evidence.ts";
import { type Lane, lanesOf } from "./lanes.ts";
import { type Linearity, linearityOf } from "./linearity.ts";
import { type Lives, livesOf } from "./lives.ts";
import { type WatchPart, watchOf } from "./watch.ts";

/** Everything the page of one unit says. */
export interface UnitPage {
  readonly asOf: string;
  readonly asOfDay: number;
  readonly instrument: string;
  readonly site: string | null;
  readonly usage: string | null;
  readonly modelClass: string | null;
  /** Unit: µN·m. */
  readonly fullScaleTorqueUnm: number | null;
  readonly adjustingServices: number;
  readonly forecast: UnitForecast;
  /** Since when it has most likely been out; null: it is not out, or its checks cannot tell. */
  readonly outSince: SinceWhen | null;
  /** Of the band that leaves tolerance first. Unit: error over tolerance a year. */
  readonly driftPerYear: number | null;
  readonly lanes: readonly Lane[] | null;
  readonly lives: Lives;
  readonly linearity: Linearity;
  readonly evidence: Evidence;
  readonly charts: readonly IndividualsChart[];
  readonly watch: WatchPart;
  /** Newest first. */
  readonly judgements: readonly StandingJudgement[];
  /** Every line that was fitted, and what changed between as left and lately. */
  readonly fits: UnitView["linearity"];
  /** Newest first. */
  readonly readings: readonly UnitReading[];
  readonly checks: number;
}

/** What the unit's page says, from its view. */
export function unitPage(view: UnitView): UnitPage {
  const { instrument, forecast } = view;
  return {
    asOf: view.asOf,
    asOfDay: dayOfIso(view.asOf),
    instrument: instrument.instrument,
    site: instrument.site,
    usage: instrument.usage,
    modelClass: instrument.modelClass,
    fullScaleTorqueUnm: instrument.fullScaleTorqueUnm,
    adjustingServices: view.services.filter(({ action }) => action !== "inspected").length,
    forecast,
    outSince: view.outSince,
    driftPerYear: driftPerYear(forecast, view.toleranceAlongTorque),
    lanes: lanesOf(forecast),
    lives: livesOf(view),
    linearity: linearityOf(view),
    evidence: evidenceOf(view),
    charts: view.charts,
    watch: watchOf(view),
    judgements: [...view.judgements].reverse(),
    fits: view.linearity,
    readings: [...view.readings].reverse(),
    checks: new Set(view.readings.map((reading) => reading.check)).size,
  };
}

/** The unit's figures for programs, in the words of `springtide unit --json` where it has the same. */
export function unitPageFigures(page: UnitPage): Record<string, unknown> {
  const { forecast } = page;
  const day = (value: number | null): string | null => (value === null ? null : isoOfDay(value));
  return {
    as_of: page.asOf,
    instrument: page.instrument,
    site: page.site,
    state: forecast.state,
    p_out_now: forecast.pOutNow,
    p_out_before_service: forecast.pOutBeforeService,
    next_service_due: day(forecast.nextServiceDueDay),
    out_on: { p05: day(forecast.outOn.p05), p50: day(forecast.outOn.p50), p95: day(forecast.outOn.p95) },
    out_since: page.outSince && windowReport(page.outSince),
    band: forecast.band,
    bands: forecast.bands,
    shape: forecast.shape,
    pattern: forecast.pattern,
    steps: forecast.steps.map(({ betweenDays: [from, to], zero, span }) => ({
      between: [day(from), day(to)],
      zero,
      span,
    })),
    explanations: page.evidence.explanations,
    next_step: page.evidence.step,
    latest_check: page.evidence.latestCheck.map(({ day: on, asRead, own, ...band }) => ({
      ...band,
      on: day(on),
      as_read: asRead,
      without_lot_and_bath: own,
    })),
    linearity: {
      this_life: page.fits.life,
      as_found: page.fits.asFound,
      as_left: page.fits.asLeft,
      latest: page.fits.latest,
      change: page.fits.change,
      lives: page.fits.lives,
      fluids: page.fits.fluids,
      second_fluid: page.fits.secondFluid,
      now: page.linearity.now,
    },
    notes: page.judgements,
    signals: page.watch.signals.map(({ happened, settled, ...signal }) => ({
      ...signalFigures(signal),
      happened,
      settled: settled && { by: settled.by, why: settled.why },
    })),
    watch: page.watch.charts.map(watchFigures),
    charts: page.charts,
    readings: readingFigures(page.readings),
  };
}

/** The charts of one quantity: what was charted, its frozen baseline, limits, changes and notes. */
export function watchFigures({
  baseline,
  limits,
  points,
  changes,
  likeliestStep,
  notes,
  ...chart
}: QuantityChart) {
  return {
    quantity: chart.quantity,
    baseline: baseline && {
      ...baseline,
      fromDay: isoOfDay(baseline.fromDay),
      toDay: isoOfDay(baseline.toDay),
      centreDay: isoOfDay(baseline.centreDay),
    },
    limits: { ...limits, cusum: chart.cusumInterval },
    changes: changes.map(({ betweenDays, foundOnDay, shift }) => ({
      between: betweenDays.map(isoOfDay),
      found_on: isoOfDay(foundOnDay),
      shift,
    })),
    likeliest_step: likeliestStep && {
      ...likeliestStep,
      betweenDays: likeliestStep.betweenDays.map(isoOfDay),
    },
    notes: notes.map(({ rule, onDay, checks }) => ({ rule, on: isoOfDay(onDay), checks })),
    points: points.map(({ day, ...point }) => ({ on: isoOfDay(day), ...point })),
  };
}

/** One row a reading, for CSV and JSON. Errors in % of full scale unless the name says otherwise. */
export function readingFigures(readings: readonly UnitReading[]): FigureRow[] {
  return readings.map((reading) => ({
    checked_on: isoOfDay(reading.day),
    check: reading.check + 1,
    stage: reading.stage,
    band: reading.band,
    torque_percent: reading.torque,
    speed_rpm: reading.speedRpm,
    reading_mpas: reading.readingMPaS,
    certified_mpas: reading.certifiedMPaS,
    full_scale_range_mpas: reading.rangeMPaS,
    error_percent_fs: reading.error,
    tolerance_percent_fs: reading.tolerance,
    error_over_tolerance: reading.errorOverTolerance,
    own_error_percent_fs: reading.errorWithoutSharedCauses,
    temperature_offset_k: reading.temperatureOffsetK,
    fluid_lot: reading.fluidLot,
    geometry: reading.geometry,
    operator: reading.operator,
    site: reading.site,
    used: reading.use > 0,
    flags: reading.flags.join(" "),
    file: reading.file,
    line: reading.line,
  }));
}
