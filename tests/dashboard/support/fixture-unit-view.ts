import type { BandName, BandPath, LotAssessment } from "../../../analysis/index.ts";
import { dayOfIso, isoOfDay } from "../../../dashboard/assessment/days.ts";
import { individualsCharts } from "../../../dashboard/assessment/unit-charts.ts";
import type { LinearityView, UnitReading, UnitView } from "../../../dashboard/assessment/views.ts";
import { type FixtureUnit, JUDGED, toleranceAt } from "./fixture-unit.ts";
import { fixtureWatch } from "./fixture-watch.ts";
import { type Random, seededRandom } from "./random.ts";

export const FIXTURE_LOTS: readonly LotAssessment[] = [
  lot("L-24-03", -0.2, "sound"),
  lot("L-25-01", 0.1, "sound"),
  lot("L-25-07", 1.8, "doubtful"),
];
const BANDS = ["low", "medium", "high"] as const;

function lot(fluidLot: string, errorPercent: number, verdict: LotAssessment["verdict"]): LotAssessment {
  return {
    fluidLot,
    errorPercent,
    errorSd: 0.2,
    perYearPercent: 0.3,
    units: 120,
    checks: 4100,
    lastUseDay: dayOfIso("2026-03-30"),
    verdict,
    note: null,
  };
}

export function fixtureUnitView(unit: FixtureUnit, asOf: string, asOfDay: number): UnitView {
  const random = seededRandom(unit.dueDay * 31 + unit.record.instrument.length);
  const judged = unit.forecast.state !== "unjudged";
  const readings = judged ? fixtureReadings(unit, asOfDay, random) : [];
  const inLife = readings.filter((reading) => reading.day >= unit.lifeStartDay);
  const watch = fixtureWatch(unit.record.instrument, inLife);
  const spread = (day: number): number => 0.05 + Math.max(0, day - asOfDay) * 0.0004;
  const path = (band: BandName, days: readonly number[]): BandPath => {
    const torque = JUDGED[band];
    const at = (z: number) =>
      days.map((day) => unit.errorAt(day, torque) / toleranceAt(torque) + z * spread(day));
    return { day: days, p05: at(-1.645), p25: at(-0.674), p50: at(0), p75: at(0.674), p95: at(1.645) };
  };
  const forBands = (days: readonly number[]) => ({
    low: path("low", days),
    medium: path("medium", days),
    high: path("high", days),
  });
  const aheadDays = daysBetween(asOfDay, unit.dueDay, 7);
  return {
    asOf,
    revision: 1,
    instrument: unit.record,
    forecast: unit.forecast,
    paths: judged
      ? {
          past: forBands(daysBetween(unit.lifeStartDay, asOfDay, 14)),
          ahead: forBands(aheadDays),
          nowAlongTorque: alongTorque((x) => unit.errorAt(asOfDay, x)),
          errorWithoutSharedCauses: Float64Array.from(
            readings,
            (r) => r.errorWithoutSharedCauses ?? Number.NaN,
          ),
          pOutBy: aheadDays.map((_, i) => ((unit.forecast.pOutBeforeService ?? 0) * i) / aheadDays.length),
        }
      : null,
    services: [unit.lifeStartDay - 365, unit.lifeStartDay].map((day) => ({
      instrument: unit.record.instrument,
      servicedAt: isoOfDay(day),
      action: "adjusted",
    })),
    readings,
    lots: FIXTURE_LOTS,
    toleranceAlongTorque: { torque: [0, 25, 50, 75, 100], tolerance: [0, 25, 50, 75, 100].map(toleranceAt) },
    linearity: {
      life: inLife.length > 0 ? line(unit, asOfDay, unit.lifeStartDay, inLife.length) : null,
      asFound: null,
      asLeft: inLife.length > 0 ? line(unit, unit.lifeStartDay + 14, unit.lifeStartDay, 6) : null,
      latest: inLife.length > 0 ? line(unit, asOfDay, asOfDay - 60, 8) : null,
      change: null,
      lives: [],
      fluids: [],
      secondFluid: null,
    },
    judgements: [],
    watch,
    charts: individualsCharts(watch.charts),
    outSince: null,
  };
}

function daysBetween(from: number, to: number, step: number): number[] {
  const days = Array.from({ length: Math.max(1, Math.ceil((to - from) / step)) }, (_, i) => from + i * step);
  return [...days, to];
}

function fixtureReadings(unit: FixtureUnit, asOfDay: number, random: Random): UnitReading[] {
  const readings: UnitReading[] = [];
  const firstDay = unit.lifeStartDay - 320;
  let check = 0;
  for (let day = firstDay; day <= asOfDay; day += 6 + 10 * random.uniform()) {
    const ageDays = asOfDay - day;
    const lot = FIXTURE_LOTS[ageDays < 150 ? 2 : ageDays < 420 ? 1 : 0]!;
    const off = random.uniform() < 0.03;
    // The earlier life drifted by a half of what the present one does.
    const ownDay = day < unit.lifeStartDay ? unit.lifeStartDay + (day - firstDay) / 2 : day;
    for (const [i, nominal] of [18, 46, 83].entries()) {
      const torque = nominal + 3 * random.normal();
      const own = unit.errorAt(ownDay, torque) + 0.12 * random.normal();
      const error = own + (lot.errorPercent * torque) / 100;
      const rangeMPaS = [2400, 960, 530][i]!;
      const certifiedMPaS = (torque * rangeMPaS) / 100;
      readings.push({
        day,
        check,
        stage: day - unit.lifeStartDay >= 0 && day - unit.lifeStartDay < 14 ? "as_left" : "routine",
        fluidLot: lot.fluidLot,
        geometry: "cup-B",
        operator: random.pick(["KT", "MW", "JS"]),
        site: unit.record.site,
        file: "spring-checks.csv",
        line: 2 + check * 3 + i,
        speedRpm: [20, 50, 90][i]!,
        torque,
        band: BANDS[i]!,
        readingMPaS: certifiedMPaS + (error * rangeMPaS) / 100,
        certifiedMPaS,
        rangeMPaS,
        temperatureOffsetK: off ? 0.34 : 0.05 * random.normal(),
        error,
        tolerance: toleranceAt(torque),
        errorOverTolerance: error / toleranceAt(torque),
        errorWithoutSharedCauses: own,
        use: off ? 0 : 1,
        flags: off ? ["temperature-off"] : [],
      });
    }
    check += 1;
  }
  return readings;
}

function line(unit: FixtureUnit, day: number, fromDay: number, checks: number): LinearityView {
  const torque = Array.from({ length: 19 }, (_, i) => 10 + i * 5);
  const mean = torque.map((x) => unit.errorAt(day, x));
  const half = torque.map((x) => 0.12 + 0.15 * ((x - 50) / 50) ** 2);
  return {
    fromDay,
    toDay: day,
    checks,
    zero: unit.errorAt(day, 0),
    zeroSe: 0.11,
    zeroP: 0.2,
    span: unit.errorAt(day, 100) - unit.errorAt(day, 0),
    spanSe: 0.19,
    spanP: 0.01,
    nonlinearity: 0.06,
    nonlinearitySe: 0.05,
    nonlinearityP: 0.24,
    jointP: 0.02,
    lackOfFitP: 0.4,
    repeatability: 0.12,
    sharedProportional: 0.1,
    curve: { torque, mean, lower: mean.map((m, i) => m - half[i]!), upper: mean.map((m, i) => m + half[i]!) },
  };
}

function alongTorque(errorAt: (torque: number) => number) {
  const torque = [10, 30, 50, 70, 100];
  const at = (away: number) => torque.map((x) => errorAt(x) + away);
  return { torque, p05: at(-0.1), p50: at(0), p95: at(0.1) };
}
