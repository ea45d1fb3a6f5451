import { quickNormalScore } from "../control-charts/baseline.ts";
import { normalQuantile, normalUpperTail } from "../distributions/normal.ts";
import { COMPONENT, COMPONENTS } from "../drift/components.ts";
import { expectLife } from "../drift/kinds.ts";
import { KINDS, type Population, soundPrior } from "../drift/population.ts";
import { CourseBank, STATE_NUMBERS } from "./course-bank.ts";
import type { ChartDesign } from "./design.ts";
import type { LifeSeries } from "./life-series.ts";
import { BANDS_FROM, QUANTITIES } from "./quantities.ts";
import type { StreamSignal } from "./stream-signal.ts";

const COUNT = QUANTITIES.length;
const [ZERO, NONLINEARITY] = [QUANTITIES.indexOf("zero"), QUANTITIES.indexOf("nonlinearity")];

/** Every kind either way, and sound. */
const MOST_EXPLANATIONS = 2 * KINDS.length + 1;

/** A band this far off its forecast counts where all three have to be. Unit: sigma. */
const BAND_OFF = 2.5;

/** A tail thinner than this cannot be told from 0. */
const THINNEST_TAIL = 1e-300;

/** What one quantity is judged by: its limits, and how the unit scatters against what is expected, check by check. */
export interface StepTerms {
  readonly design: ChartDesign;
  readonly scale: Float64Array;
  readonly df: Float64Array;
}

/**
 * The step charts of one life, all quantities at once: each check against the fleet model's own forecast of it, made
 * from the checks before it at the torques of this one.
 *
 * @remarks
 * A step is signalled by one check beyond the limit where the check is off in all three bands, which no slip at one
 * reading explains, and, in a fleet where cups are now and then filled badly, off in zero too; or by two in a row beyond a lower limit on one side, both against the forecast from before both,
 * and together as improbable as the run length asks, what they share considered. After the second, the course is
 * taken up anew from the level that both show. One object is a workspace: `run` overwrites what the run before left.
 */
export class StepChart {
  /** By quantity, by check: prediction error. Unit: sigma; NaN where the check does not tell the quantity. */
  readonly z = QUANTITIES.map(() => new Float64Array(0));
  readonly signals = QUANTITIES.map((): StreamSignal[] => []);
  /** By check: 1 for the second of two that showed a step. */
  second = new Uint8Array(0);
  private readonly population: Population;
  private readonly now: CourseBank;
  /** As it was before the check before was taken in, and the same gone on to the present check. */
  private readonly before: CourseBank;
  private readonly skipping: CourseBank;
  /** By explanation and quantity: what the state has in common with the reading of the check before. */
  private readonly common: Float64Array;
  private readonly tails = new MixedTails();

  constructor(population: Population) {
    this.population = population;
    const bank = () => new CourseBank(population, MOST_EXPLANATIONS);
    [this.now, this.before, this.skipping] = [bank(), bank(), bank()];
    this.common = new Float64Array(MOST_EXPLANATIONS * COUNT * STATE_NUMBERS);
  }

  /**
   * @param terms By quantity; null where no check of the life tells it.
   * @param trustsOne Whether one check that is off in all bands signals even if that may be bad filling; see hasSlips.
   */
  run(series: LifeSeries, terms: readonly (StepTerms | null)[], trustsOne: boolean): void {
    this.prepare(series.day.length);
    const { now, before, population } = this;
    const { checks } = series;
    const sound = soundPrior(population, checks.startKnown);
    now.begin(expectLife(population, [], sound), sound, series.startWidening);
    let isPair = false; // the check before was off in some quantity
    for (let k = 0; k < series.day.length; k++) {
      const year = checks.year[k]!;
      if (isPair && this.confirms(series, terms, k)) {
        this.second[k] = 1;
        now.copy(before);
        now.openStep();
        now.update(series, k - 1);
        now.predict(year);
        isPair = false;
      } else {
        now.predict(year);
        isPair = this.judge(series, terms, k, trustsOne);
        if (isPair) before.copy(now);
      }
      now.update(series, k);
    }
  }

  /** Scores check k; signals what is off in all bands. @returns Whether any quantity may be the first of a step. */
  private judge(
    series: LifeSeries,
    terms: readonly (StepTerms | null)[],
    k: number,
    trustsOne: boolean,
  ): boolean {
    let mayBeFirst = false;
    let bandsOff = 0;
    for (let q = 0; q < COUNT; q++) {
      const of = terms[q];
      if (!of || Number.isNaN(series.value[q]![k]!)) continue;
      const z = this.score(this.now, series, q, k, of);
      this.z[q]![k] = z;
      if (Math.abs(z) > of.design.step) mayBeFirst = true;
      if (q >= BANDS_FROM && Math.abs(z) > BAND_OFF) bandsOff++;
    }
    // Before the first service on record nobody knows where a unit stood.
    if (k === 0 && !series.checks.startKnown) return false;
    const isTogether = bandsOff === COUNT - BANDS_FROM;
    if (isTogether && (trustsOne ? terms.some((of, q) => this.isOff(of, q, k)) : this.isNoSlip(terms, k))) {
      this.signalAlone(series, terms, k);
    }
    return mayBeFirst;
  }

  /** Bad filling is in proportion to torque, and leaves zero alone; a slip at one reading bends the line. */
  private isNoSlip(terms: readonly (StepTerms | null)[], k: number): boolean {
    return this.isOff(terms[ZERO]!, ZERO, k) && !this.isOff(terms[NONLINEARITY]!, NONLINEARITY, k);
  }

  private isOff(of: StepTerms | null, q: number, k: number): boolean {
    return of !== null && Math.abs(this.z[q]![k]!) > of.design.check;
  }

  /** Signals check k in its bands, and in what else is off. */
  private signalAlone(series: LifeSeries, terms: readonly (StepTerms | null)[], k: number): void {
    terms.forEach((of, q) => {
      if (of === null) return;
      const size = this.z[q]![k]!;
      const limit = q < BANDS_FROM ? of.design.check : BAND_OFF;
      if (!(Math.abs(size) > limit)) return;
      this.signals[q]!.push({
        chart: "step",
        at: k,
        from: k,
        size,
        limit,
        change: this.offBy(series, q, k),
        withinCheck: null,
      });
    });
  }

  /** Whether check k shows what the check before did, in some quantity; signals it. */
  private confirms(series: LifeSeries, terms: readonly (StepTerms | null)[], k: number): boolean {
    const { before, skipping, common } = this;
    for (let e = 0; e < before.size; e++) {
      for (let q = 0; q < COUNT; q++) {
        const at = (e * COUNT + q) * STATE_NUMBERS;
        before.covarianceWith(e, series.loading[q]!, (k - 1) * COMPONENTS, common, at);
      }
    }
    skipping.copy(before);
    skipping.predict(series.checks.year[k]!, common.subarray(0, before.size * COUNT * STATE_NUMBERS));
    let confirmed = false;
    for (let q = 0; q < COUNT; q++) {
      const of = terms[q];
      const first = this.z[q]![k - 1]!;
      if (!of || Number.isNaN(series.value[q]![k]!)) continue;
      const z = this.score(skipping, series, q, k, of);
      this.z[q]![k] = z;
      const { step } = of.design;
      if (!(Math.abs(first) > step && Math.abs(z) > step && first * z > 0)) continue;
      const { score, change } = this.bothOff(series, q, k, of);
      if (!(Math.abs(score) > of.design.pair)) continue;
      confirmed = true;
      // The first of the two may have signalled by itself.
      if (this.signals[q]!.at(-1)?.at === k - 1) continue;
      const size = Math.sign(z) * Math.min(Math.abs(first), Math.abs(z));
      this.signals[q]!.push({
        chart: "step",
        at: k,
        from: k - 1,
        size,
        limit: step,
        change,
        withinCheck: null,
      });
    }
    return confirmed;
  }

  /** How far check k is off in a quantity, explanations averaged by their tails. Unit: sigma. */
  private score(
    bank: CourseBank,
    series: LifeSeries,
    q: number,
    k: number,
    { scale, df }: StepTerms,
  ): number {
    const loading = series.loading[q]!;
    const value = series.value[q]![k]!;
    const own = series.variance[q]![k]! * scale[k]! ** 2;
    const { tails } = this;
    tails.clear();
    for (let e = 0; e < bank.size; e++) {
      const S = bank.spread(e, loading, k * COMPONENTS) + own;
      tails.add(bank.weight[e]!, (value - bank.read(e, loading, k * COMPONENTS)) / Math.sqrt(S));
    }
    return quickNormalScore(tails.score(), df[k]!);
  }

  /** By how much check k is off in a quantity. */
  private offBy(series: LifeSeries, q: number, k: number): number {
    const { now } = this;
    let sum = 0;
    for (let e = 0; e < now.size; e++) {
      sum += now.weight[e]! * now.read(e, series.loading[q]!, k * COMPONENTS);
    }
    return series.value[q]![k]! - sum;
  }

  /** How far checks k - 1 and k are off together, and by how much: one shift of both, by least squares. */
  private bothOff(series: LifeSeries, q: number, k: number, { scale, df }: StepTerms) {
    const { before, skipping, common, tails } = this;
    const [value, variance, loading] = [series.value[q]!, series.variance[q]!, series.loading[q]!];
    const [at1, at2] = [(k - 1) * COMPONENTS, k * COMPONENTS];
    // What a new lot adds is in both checks.
    const ofLots = Math.min(series.ofLots[k - 1]!, series.ofLots[k]!);
    const shared = ofLots * loading[at1 + COMPONENT.span]! * loading[at2 + COMPONENT.span]!;
    tails.clear();
    let change = 0;
    for (let e = 0; e < before.size; e++) {
      const first = value[k - 1]! - before.read(e, loading, at1);
      const second = value[k]! - skipping.read(e, loading, at2);
      const s11 = before.spread(e, loading, at1) + variance[k - 1]! * scale[k - 1]! ** 2;
      const s22 = skipping.spread(e, loading, at2) + variance[k]! * scale[k]! ** 2;
      let s12 = shared;
      const carried = (e * COUNT + q) * STATE_NUMBERS;
      for (let c = 0; c < COMPONENTS; c++) s12 += common[carried + c]! * loading[at2 + c]!;
      s12 = Math.min(s12, s11, s22);
      const [w1, w2] = [s22 - s12, s11 - s12];
      const together = w1 + w2;
      // Where they share all, either says it.
      const shift = together > 0 ? (w1 * first + w2 * second) / together : first;
      const spread = together > 0 ? (s11 * s22 - s12 * s12) / together : s11;
      tails.add(before.weight[e]!, shift / Math.sqrt(spread));
      change += before.weight[e]! * shift;
    }
    return { score: quickNormalScore(tails.score(), df[k]!), change };
  }

  private prepare(n: number): void {
    for (let q = 0; q < COUNT; q++) {
      if (this.z[q]!.length < n) this.z[q] = new Float64Array(n);
      this.z[q]!.fill(Number.NaN, 0, n);
      this.signals[q] = [];
    }
    if (this.second.length < n) this.second = new Uint8Array(n);
    this.second.fill(0, 0, n);
  }
}

/** The normal score that a value has under several explanations, by their tails. */
class MixedTails {
  private above = 0;
  private below = 0;
  private weights = 0;
  private last = 0;
  private count = 0;

  clear(): void {
    this.above = this.below = this.weights = this.count = 0;
  }

  add(weight: number, z: number): void {
    this.count++;
    this.last = z;
    this.weights += weight;
    const tail = normalUpperTail(Math.abs(z));
    this.above += weight * (z > 0 ? tail : 1 - tail);
    this.below += weight * (z > 0 ? 1 - tail : tail);
  }

  score(): number {
    if (this.count === 1) return this.last;
    const isHigh = this.above < this.below;
    const tail = Math.max(THINNEST_TAIL, Math.min(this.above, this.below) / this.weights);
    return tail >= 0.5 ? 0 : (isHigh ? -1 : 1) * normalQuantile(tail);
  }
}
