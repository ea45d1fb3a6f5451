import { normalCdf } from "../distributions/normal.ts";
import { COMPONENTS, curvatureLoading, frictionLoading } from "../drift/components.ts";
import type { JudgedBands } from "../drift/forward-paths.ts";
import type { NormalStream } from "../drift/random.ts";
import { DAYS_A_YEAR } from "../drift/time.ts";
import { crossedBetween } from "./bridge.ts";

/** Loadings of the four components at torque fraction x. */
export function loadingsAt(x: number): readonly number[] {
  return [1, x, curvatureLoading(x), frictionLoading(x)];
}

/** Gaps shorter than this are not divided further. Unit: years. */
const SHORT = 3 / DAYS_A_YEAR;

/** A gap less likely to hold an exit is passed over. */
const UNLIKELY = 1e-4;

interface Limit {
  readonly loading: readonly number[];
  readonly tolerance: number;
  /** Growth of the variance of this band's wander. Unit: (% of full scale)^2 per year. */
  readonly wander: number;
}

/** Finds when a way through a life first leaves tolerance in any band. */
export class ExitSearch {
  readonly #limits: readonly Limit[];
  readonly #wander: ArrayLike<number>;
  readonly #years: readonly number[];
  /** Of the way looked at: the error at each year in each band. */
  readonly #errors: Float64Array;

  /** @param years The life's start and its checks, since the start. Unit: years. */
  constructor({ torque, tolerance }: JudgedBands, wander: ArrayLike<number>, years: readonly number[]) {
    this.#limits = torque.map((x, b) => ({
      loading: loadingsAt(x),
      tolerance: tolerance[b]!,
      wander: loadingsAt(x).reduce((sum, h, c) => sum + h * h * wander[c]!, 0),
    }));
    this.#wander = wander;
    this.#years = years;
    this.#errors = new Float64Array(years.length * torque.length);
  }

  /**
   * @param levels The four components at each of the years. Shape: years x 4, by rows.
   * @param stepBefore Checks with a sudden shift before them: it may have come at any time since the check before.
   * @returns Unit: years since the life's start; Infinity where it never leaves.
   */
  firstExit(levels: Float64Array, stepBefore: readonly number[], normal: NormalStream): number {
    const years = this.#years;
    const at = (k: number) => levels.subarray(k * COMPONENTS, (k + 1) * COMPONENTS);
    this.#lookAt(levels);
    if (this.#isOut(at(0))) return 0;
    for (let k = 1; k < years.length; k++) {
      const [from, to] = [years[k - 1]!, years[k]!];
      const isStep = stepBefore.includes(k - 1);
      if (!isStep && this.#chanceBefore(k) < UNLIKELY) continue;
      const exit = isStep
        ? this.#exitByStep(at(k), from, to, normal)
        : this.#exitBetween(at(k - 1), at(k), from, to, normal);
      if (exit !== null) return exit;
    }
    return Number.POSITIVE_INFINITY;
  }

  #lookAt(levels: Float64Array): void {
    const errors = this.#errors;
    const limits = this.#limits;
    for (let b = 0; b < limits.length; b++) {
      const { loading } = limits[b]!;
      const [h0, h1, h2, h3] = [loading[0]!, loading[1]!, loading[2]!, loading[3]!];
      for (let at = 0, i = b; i < errors.length; at += COMPONENTS, i += limits.length) {
        errors[i] = h0 * levels[at]! + h1 * levels[at + 1]! + h2 * levels[at + 2]! + h3 * levels[at + 3]!;
      }
    }
  }

  /** The chance of an exit between the ends of the gap before year k. */
  #chanceBefore(k: number): number {
    const errors = this.#errors;
    const limits = this.#limits;
    const years = this.#years[k]! - this.#years[k - 1]!;
    let chance = 0;
    for (let b = 0; b < limits.length; b++) {
      const [from, to] = [errors[(k - 1) * limits.length + b]!, errors[k * limits.length + b]!];
      chance = Math.max(chance, beyondBetween(limits[b]!, from, to, years));
    }
    return chance;
  }

  #exitByStep(after: Float64Array, from: number, to: number, normal: NormalStream): number | null {
    return this.#isOut(after) ? from + uniform(normal) * (to - from) : null;
  }

  /** Divides a gap by draws from the bridge between its ends, as long as an exit may hide in it. */
  #exitBetween(
    before: Float64Array,
    after: Float64Array,
    from: number,
    to: number,
    normal: NormalStream,
  ): number | null {
    const chance = this.#chanceBetween(before, after, to - from);
    if (chance < UNLIKELY) return null;
    if (to - from <= SHORT) return uniform(normal) < chance ? 0.5 * (from + to) : null;
    const half = 0.5 * (to - from);
    const middle = Float64Array.from(
      before,
      (level, c) => 0.5 * (level + after[c]!) + Math.sqrt(0.5 * half * this.#wander[c]!) * normal.next(),
    );
    return (
      this.#exitBetween(before, middle, from, from + half, normal) ??
      (this.#isOut(middle) ? from + half : this.#exitBetween(middle, after, from + half, to, normal))
    );
  }

  /** The bands share their wander: the likeliest to have left stands for all. */
  #chanceBetween(before: Float64Array, after: Float64Array, years: number): number {
    let chance = 0;
    for (const limit of this.#limits) {
      const [from, to] = [errorOf(before, limit.loading), errorOf(after, limit.loading)];
      chance = Math.max(chance, beyondBetween(limit, from, to, years));
    }
    return chance;
  }

  #isOut(levels: Float64Array): boolean {
    return this.#limits.some(({ loading, tolerance }) => Math.abs(errorOf(levels, loading)) > tolerance);
  }
}

/** Chance that a band's error was beyond its tolerance, either way, between two moments. */
function beyondBetween({ tolerance, wander }: Limit, from: number, to: number, years: number): number {
  const up = crossedBetween(tolerance, from, to, wander, years);
  const down = crossedBetween(tolerance, -from, -to, wander, years);
  return Math.min(1, up + down);
}

function errorOf(levels: Float64Array, loading: readonly number[]): number {
  let error = 0;
  for (let c = 0; c < COMPONENTS; c++) error += loading[c]! * levels[c]!;
  return error;
}

/** A share of 1 from the stream's normal value. */
function uniform(normal: NormalStream): number {
  return normalCdf(normal.next());
}
