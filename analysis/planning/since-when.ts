import { COMPONENTS } from "../drift/components.ts";
import { priorOf } from "../drift/explained-life.ts";
import type { FleetFigures } from "../drift/figures.ts";
import { forecastContext } from "../drift/forecast-context.ts";
import type { LifeEvents } from "../drift/life-filter.ts";
import { forwardModel } from "../drift/out-ahead.ts";
import { hashText, NormalStream } from "../drift/random.ts";
import { jointInformation } from "../drift/shared-causes.ts";
import { DAYS_A_YEAR } from "../drift/time.ts";
import { lastYear, unitPosterior } from "../drift/unit-posterior.ts";
import { type FleetChecks, type UnitChecks, USE } from "../fleet.ts";
import { ExitSearch, loadingsAt } from "./exit-search.ts";
import { LevelSampler } from "./level-sampler.ts";
import { LifeDraws } from "./life-draws.ts";

/** When a unit most likely left tolerance, told from all its checks up to the one that found it. */
export interface SinceWhen {
  /** First day of the life in which it left; null: the life began before the records. */
  readonly lifeFromDay: number | null;
  /** Day of the last check used. */
  readonly foundDay: number;
  /**
   * Days by which it had left tolerance with 5, 50 and 95 % of the ways it may have gone; null: it had most likely
   * not left by the last check.
   */
  readonly left: { readonly p05: number; readonly p50: number; readonly p95: number } | null;
  /** Share of the ways in which it had left by the last check. */
  readonly chanceOut: number;
  /** Last check with all readings within tolerance, and the first after it with one beyond, as read. */
  readonly lastSoundDay: number | null;
  readonly firstUnsoundDay: number | null;
  /** Probability to have left by each of some days: the life's start, its checks. */
  readonly course: { readonly day: readonly number[]; readonly leftBy: readonly number[] };
  /** What a result may be off by when it was found, along the torque. Unit: % of the result. */
  readonly offNow: readonly ResultOff[];
  /** The same for any day and torque of the life. */
  readonly offAt: (day: number, torquePercent: number) => ResultOff;
}

/** Error of a result, own and without what lots and baths did to the checks. Unit: % of the result. */
export interface ResultOff {
  /** Unit: % of full scale. */
  readonly torquePercent: number;
  readonly p05: number;
  readonly p50: number;
  readonly p95: number;
}

const DRAWS = 400;
const FEWEST_DRAWS = 12;
const TORQUES = [10, 20, 30, 40, 50, 60, 70, 80, 90, 100];

/** One way in which the life may have gone. */
interface Way {
  readonly weight: number;
  /** Shape: (checks + 1) x 4. Unit: % of full scale. */
  readonly levels: Float64Array;
  /** Time since the life's start at which it left tolerance; Infinity: not by the last check. Unit: years. */
  readonly leftYear: number;
}

/**
 * Since when has a unit been out of tolerance? Looks back over the life that its last usable check belongs to.
 *
 * @remarks
 * Every understanding of the unit that the forecast weighs is followed back as a few dozen ways through the life, all
 * in keeping with all its checks; each tells when it first left tolerance in any band. Between checks a way that is
 * within tolerance at both ends may have been beyond: that chance is drawn by the formula for a Brownian bridge. Each
 * way has lots and baths of its own, drawn with the unit's rates from what is known of all of them together.
 *
 * @throws {AnalysisError} where the unit has no usable check.
 */
export function sinceWhen(unit: UnitChecks, fleet: FleetChecks, figures: FleetFigures): SinceWhen {
  const context = forecastContext(fleet, figures);
  const posterior = unitPosterior(context, unit);
  const { life, noise, expectation } = posterior;
  const { bands, wander } = forwardModel(unit, fleet, figures);
  const years = [0, ...life.year];
  const exits = new ExitSearch(bands, wander, years);
  const normal = new NormalStream(hashText(unit.instrument));
  const samplers = new Map<LifeEvents, ReturnType<typeof sampleUnder>>();
  const sampleUnder = (events: LifeEvents) => {
    context.joined.run(life, noise, events);
    return {
      joint: jointInformation(context.joined, life.effects),
      levels: new LevelSampler(life, noise, events, expectation.sound),
    };
  };
  const ways: Way[] = [];
  for (const { weight, kind, belief, events } of posterior.states) {
    const sampler = samplers.get(events) ?? sampleUnder(events);
    samplers.set(events, sampler);
    const draws = Math.max(FEWEST_DRAWS, Math.round(DRAWS * weight));
    const prior = priorOf(expectation, expectation.explanations.find((e) => e.kind === kind)!);
    const lives = new LifeDraws(life, sampler.joint, prior, belief);
    for (let draw = 0; draw < draws; draw++) {
      const { error, drift } = lives.next(normal);
      const levels = sampler.levels.draw(error, drift, normal);
      ways.push({
        weight: weight / draws,
        levels,
        leftYear: exits.firstExit(levels, events.stepBefore, normal),
      });
    }
  }
  const dayOf = (year: number) => life.startDay + year * DAYS_A_YEAR;
  const chanceOut = shareOf(ways, (way) => way.leftYear < Number.POSITIVE_INFINITY);
  const offAt = (day: number, torquePercent: number): ResultOff =>
    resultOff(ways, years, (day - life.startDay) / DAYS_A_YEAR, torquePercent);
  return {
    lifeFromDay: life.startKnown ? life.startDay : null,
    foundDay: dayOf(lastYear(life)),
    left: chanceOut >= 0.5 ? leftDays(ways, chanceOut, dayOf) : null,
    chanceOut,
    ...verdictsAsRead(unit, life.startDay),
    course: {
      day: years.map(dayOf),
      leftBy: years.map((year) => shareOf(ways, (way) => way.leftYear <= year)),
    },
    offNow: TORQUES.map((torque) => offAt(dayOf(lastYear(life)), torque)),
    offAt,
  };
}

function shareOf(ways: readonly Way[], holds: (way: Way) => boolean): number {
  let share = 0;
  for (const way of ways) if (holds(way)) share += way.weight;
  return Math.min(1, share);
}

function leftDays(ways: readonly Way[], chanceOut: number, dayOf: (year: number) => number) {
  const left = new WeightedOrder(
    ways.filter((way) => way.leftYear < Number.POSITIVE_INFINITY),
    (way) => way.leftYear,
  );
  const at = (p: number) => dayOf(left.quantile(p * chanceOut));
  return { p05: at(0.05), p50: at(0.5), p95: at(0.95) };
}

/** Values with their weights, in order, for the value below which weights add to a part. */
class WeightedOrder {
  readonly #sorted: { readonly value: number; readonly weight: number }[];

  constructor(ways: readonly Way[], numberOf: (way: Way) => number) {
    this.#sorted = ways
      .map((way) => ({ value: numberOf(way), weight: way.weight }))
      .sort((a, b) => a.value - b.value);
  }

  quantile(part: number): number {
    let sum = 0;
    for (const { value, weight } of this.#sorted) {
      sum += weight;
      if (sum >= part) return value;
    }
    return this.#sorted.at(-1)!.value;
  }
}

/** Levels between two checks lie on the line between them. */
function resultOff(ways: readonly Way[], years: readonly number[], year: number, torque: number): ResultOff {
  const found = years.findIndex((t) => t >= year);
  const after = found < 0 ? years.length - 1 : found;
  const before = Math.max(0, after - 1);
  const elapsed = years[after]! - years[before]!;
  const g = elapsed > 0 ? Math.min(1, Math.max(0, (year - years[before]!) / elapsed)) : 1;
  const loading = loadingsAt(torque / 100);
  const offs = new WeightedOrder(ways, ({ levels }) => {
    let error = 0;
    for (let c = 0; c < COMPONENTS; c++) {
      const [a, b] = [levels[before * COMPONENTS + c]!, levels[after * COMPONENTS + c]!];
      error += loading[c]! * (a + g * (b - a));
    }
    // An error of the deflection weighs the more the smaller the deflection is.
    return (100 * error) / torque;
  });
  const [p05, p50, p95] = [offs.quantile(0.05), offs.quantile(0.5), offs.quantile(0.95)];
  return { torquePercent: torque, p05, p50, p95 };
}

/** The last sound check and the first unsound one after it, by the readings as they were. */
function verdictsAsRead({ readings }: UnitChecks, fromDay: number) {
  const checks = new Map<number, { day: number; isSound: boolean }>();
  for (let i = 0; i < readings.count; i++) {
    if (readings.day[i]! < fromDay || readings.use[i] === USE.shownOnly) continue;
    const check = checks.get(readings.check[i]!) ?? { day: readings.day[i]!, isSound: true };
    if (Math.abs(readings.error[i]!) > readings.tolerance[i]!) check.isSound = false;
    checks.set(readings.check[i]!, check);
  }
  const inOrder = [...checks.values()];
  const lastSound = inOrder.findLastIndex(({ isSound }) => isSound);
  return {
    lastSoundDay: inOrder[lastSound]?.day ?? null,
    firstUnsoundDay: inOrder[lastSound + 1]?.day ?? null,
  };
}
