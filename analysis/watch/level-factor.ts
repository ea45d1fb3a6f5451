import { normalQuantile } from "../distributions/normal.ts";
import { NormalStream } from "../drift/random.ts";
import type { ChartDesign } from "./design.ts";
import { ARMED_AGAIN, LevelChart } from "./level-chart.ts";
import type { LifeSeries } from "./life-series.ts";
import { fitLimits, type LimitTerms } from "./limits.ts";
import { QUANTITIES } from "./quantities.ts";

/** Signals that a simulation is made long enough for: their number is then good to 5 %, the limit to 1 %. */
const SIGNALS = 400;

/** No more checks than this are simulated, however rare signals are meant to be. */
const MOST_CHECKS = 80_000;

/** A stray value lies this far off, for certain. Unit: sigma. */
const STRAY = 30;

/** Times the allowed number of signals, and the factors among which they are sought. */
const MULTIPLES = [1, 2, 4, 8];
const FACTORS: readonly [number, number] = [0.4, 2];

const SEED = 20_260_331;

/** Signals of limits narrower than this share of the present ones are not asked for. */
const NARROWEST = FACTORS[0];

/**
 * The course of levels over their limits, as far as it decides how often limits signal: highest points and what lies
 * lowest before each. A life begins at 0.
 */
class Crests {
  /** Low point, high point, and so on. */
  readonly turns: number[] = [];
  /** Levels run through. */
  count = 0;
  private low = 0;
  private isRising = false;

  beginLife(): void {
    this.low = 0;
    this.isRising = false;
  }

  add(level: number): void {
    const { turns } = this;
    this.count++;
    if (this.isRising) {
      if (level >= turns[turns.length - 1]!) {
        turns[turns.length - 1] = level;
        return;
      }
      this.isRising = false;
      this.low = level;
    } else if (level < this.low) this.low = level;
    else if (level > NARROWEST && level > this.low) {
      turns.push(this.low, level);
      this.isRising = true;
    }
  }
}

/**
 * What the limits of level charts are multiplied by, so that a fleet in control raises as many of their signals as it
 * may: what the charts allow for, an uncertain baseline and movement, is the same for all checks of a life, and false
 * alarms then come to fewer units and less often than independent checks would raise them.
 *
 * @remarks
 * By simulation of the lives at hand, checked when they were checked, with units that move as far as the charts allow
 * for and readings stray as often as in this fleet. Same lives, same answer.
 *
 * @param lives A sample of the fleet's.
 * @param termsOf Of a quantity.
 * @param perCheck Signals of all level charts that one check may raise, on average, each quantity counted.
 * @returns By quantity, two decimals; 1 where there is nothing to simulate.
 */
export function levelFactors(
  lives: readonly LifeSeries[],
  termsOf: (q: number) => { readonly terms: LimitTerms; readonly design: ChartDesign },
  perCheck: number,
): number[] {
  const checks = lives.reduce((sum, { day }) => sum + day.length, 0);
  if (checks === 0) return QUANTITIES.map(() => 1);
  const wanted = Math.min(MOST_CHECKS, SIGNALS / (perCheck * QUANTITIES.length));
  const rounds = Math.ceil(wanted / checks);
  // Of more lives than are needed, every so manieth.
  const every = Math.max(1, Math.floor(checks / wanted));
  const some = lives.filter((_, l) => l % every === 0);
  return QUANTITIES.map((_, q) => {
    const { terms, design } = termsOf(q);
    const crests = simulate(some, q, rounds, terms, design);
    return crests.count === 0 ? 1 : Number(factorFor(crests, perCheck * crests.count).toFixed(2));
  });
}

/**
 * The factor at which there are so many signals: their logarithm falls nearly straight with its square, and the line is
 * laid through narrower limits too, which have more of them and so are surer.
 */
function factorFor(crests: Crests, allowed: number): number {
  let [sum, meanX, meanY, xx, xy] = [0, 0, 0, 0, 0];
  const points = MULTIPLES.map((multiple) => ({
    x: factorAt(crests, multiple * allowed) ** 2,
    y: Math.log(multiple),
    weight: multiple,
  }));
  for (const { x, y, weight } of points) {
    sum += weight;
    meanX += weight * x;
    meanY += weight * y;
  }
  meanX /= sum;
  meanY /= sum;
  for (const { x, y, weight } of points) {
    xx += weight * (x - meanX) ** 2;
    xy += weight * (x - meanX) * (y - meanY);
  }
  // Where limits make no difference, one will do.
  return xy < 0 ? Math.sqrt(Math.max(0.25, meanX - (meanY * xx) / xy)) : 1;
}

function factorAt(crests: Crests, allowed: number): number {
  let [low, high] = FACTORS;
  for (let i = 0; i < 12; i++) {
    const middle = (low + high) / 2;
    if (signalsBeyond(crests, middle) > allowed) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

/** The level charts of one quantity in lives that are in control. */
function simulate(
  lives: readonly LifeSeries[],
  q: number,
  rounds: number,
  terms: LimitTerms,
  design: ChartDesign,
): Crests {
  const random = new NormalStream(SEED + q);
  const chart = new LevelChart();
  // A normal value beyond this makes the next one stray.
  const strayFrom = terms.strayShare > 0 ? -normalQuantile(terms.strayShare / 2) : Number.POSITIVE_INFINITY;
  const told = lives.filter(({ movement }) => movement[q] !== null);
  const crests = new Crests();
  for (let round = 0; round < rounds; round++) {
    for (const life of told) {
      const value = life.value.map((own, i) =>
        i === q ? inControl(life, q, terms.moving, strayFrom, random) : own,
      );
      const series = { ...life, value };
      chart.run(series, q, fitLimits(series, q, terms), design, terms.moving);
      crests.beginLife();
      for (let k = 0; k < life.day.length; k++) {
        const level = Math.abs(chart.level[k]!) / design.level;
        if (!Number.isNaN(level)) crests.add(level);
      }
    }
  }
  return crests;
}

/** One quantity of a life as it would be if the unit were sound. */
function inControl(
  { value, variance, movement, checks }: LifeSeries,
  q: number,
  moving: number,
  strayFrom: number,
  random: NormalStream,
): Float64Array {
  const { startMean, startVariance, soundRate, wander } = movement[q]!;
  const rate = Math.sqrt(moving * soundRate) * random.next();
  let level = startMean + Math.sqrt(startVariance) * random.next();
  let year = 0;
  return value[q]!.map((told, k) => {
    const d = checks.year[k]! - year;
    year = checks.year[k]!;
    level += rate * d + Math.sqrt(moving * wander * d) * random.next();
    if (Number.isNaN(told)) return told;
    const sd = Math.sqrt(variance[q]![k]!);
    const isStray = Math.abs(random.next()) > strayFrom;
    return level + sd * (isStray ? Math.sign(random.next()) * STRAY : random.next());
  });
}

/** How many signals limits give that are `factor` as wide. */
function signalsBeyond({ turns }: Crests, factor: number): number {
  let signals = 0;
  let armed = true;
  for (let i = 0; i < turns.length; i += 2) {
    if (turns[i]! < ARMED_AGAIN * factor) armed = true;
    if (turns[i + 1]! > factor) {
      if (armed) signals++;
      armed = false;
    }
  }
  return signals;
}
