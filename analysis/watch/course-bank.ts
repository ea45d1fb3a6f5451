import { ACCELERATION, COMPONENTS, PARAMETERS, RATE } from "../drift/components.ts";
import type { Explanation } from "../drift/kinds.ts";
import type { OwnPrior } from "../drift/own-posterior.ts";
import { KIND_PARAMETER, type Population } from "../drift/population.ts";
import type { LifeSeries } from "./life-series.ts";

/** A life's nine numbers as they are now, and the error that the readings of the present check share. */
const STATE = PARAMETERS + 1;
const SHARED = PARAMETERS;
const SQUARE = STATE * STATE;

/** A reading further off its prediction moves the state, and the weights, as if it were this far. Unit: sigma. */
const BOUNDED_AT = 3;

/** Explanations that weigh less are left behind. */
const NEGLIGIBLE = 1e-4;

/** A shift may be this much larger than the fleet's usual one when the course is taken up anew after it. */
const STEP_WIDENING = 4;

/**
 * Where a unit is and how fast it moves, under every explanation of its life that the fleet model has: it is sound, or
 * it drifts in one way and direction. A filter each; each new check weighs them.
 *
 * @remarks
 * What a quantity reads of a drift depends on the torques of the check. So the four shapes are followed, not the
 * quantity; what the next check should read is worked out at its own torques. One object is a workspace.
 *
 * Source: bank of Kalman filters (methods, bank of hypotheses), as the drift model, but forwards only.
 */
export class CourseBank {
  size = 0;
  readonly weight: Float64Array;
  /** By explanation, {@link STATE} numbers each: level and rate of the four shapes, acceleration of span, shared error. */
  private readonly mean: Float64Array;
  private readonly covariance: Float64Array;
  private readonly population: Population;
  private year = 0;

  constructor(population: Population, most: number) {
    this.population = population;
    this.weight = new Float64Array(most);
    this.mean = new Float64Array(most * STATE);
    this.covariance = new Float64Array(most * SQUARE);
  }

  /** Before the life's first check. */
  begin(explanations: readonly Explanation[], sound: OwnPrior, startWidening: number): void {
    this.size = explanations.length;
    this.year = 0;
    this.mean.fill(0);
    this.covariance.fill(0);
    explanations.forEach(({ kind, weight, mean, variance }, e) => {
      this.weight[e] = weight;
      for (let p = 0; p < PARAMETERS; p++) {
        this.mean[e * STATE + p] = sound.mean[p]!;
        this.covariance[e * SQUARE + p * (STATE + 1)] =
          sound.variance[p]! * (p < COMPONENTS ? startWidening : 1);
      }
      if (kind < 0) return;
      const p = KIND_PARAMETER[kind]!;
      this.mean[e * STATE + p] = mean;
      this.covariance[e * SQUARE + p * (STATE + 1)] = variance;
    });
  }

  copy(other: CourseBank): void {
    this.size = other.size;
    this.year = other.year;
    this.weight.set(other.weight);
    this.mean.set(other.mean);
    this.covariance.set(other.covariance);
  }

  /** Goes on to a time. @param vectors Of each explanation, carried along; shape: {@link STATE} numbers a vector. */
  predict(year: number, vectors: Float64Array | null = null): void {
    const d = year - this.year;
    this.year = year;
    const { mean: m, covariance: P, population } = this;
    for (let e = 0; e < this.size; e++) {
      carry(m, e * STATE, 1, d);
      const at = e * SQUARE;
      for (let column = 0; column < PARAMETERS; column++) carry(P, at + column, STATE, d);
      for (let row = 0; row < PARAMETERS; row++) carry(P, at + row * STATE, 1, d);
      for (let c = 0; c < COMPONENTS; c++) P[at + c * (STATE + 1)]! += population.wander[c]! * d;
    }
    if (vectors) for (let at = 0; at < vectors.length; at += STATE) carry(vectors, at, 1, d);
  }

  /** What a quantity with these loadings is predicted to read. @param at Of its first loading. */
  read(e: number, loading: Float64Array, at: number): number {
    let sum = 0;
    for (let c = 0; c < COMPONENTS; c++) sum += loading[at + c]! * this.mean[e * STATE + c]!;
    return sum;
  }

  /** Variance of what the quantity is predicted to read, without the check's own scatter. */
  spread(e: number, loading: Float64Array, at: number): number {
    const { covariance: P } = this;
    const [h0, h1, h2, h3] = [loading[at]!, loading[at + 1]!, loading[at + 2]!, loading[at + 3]!];
    const p = e * SQUARE;
    return (
      h0 * (h0 * P[p]! + 2 * (h1 * P[p + 1]! + h2 * P[p + 2]! + h3 * P[p + 3]!)) +
      h1 * (h1 * P[p + STATE + 1]! + 2 * (h2 * P[p + STATE + 2]! + h3 * P[p + STATE + 3]!)) +
      h2 * (h2 * P[p + 2 * STATE + 2]! + 2 * h3 * P[p + 2 * STATE + 3]!) +
      h3 * h3 * P[p + 3 * STATE + 3]!
    );
  }

  /** Covariance of the state with what the quantity reads, into `into`. */
  covarianceWith(e: number, loading: Float64Array, at: number, into: Float64Array, intoAt: number): void {
    const { covariance: P } = this;
    for (let i = 0; i < PARAMETERS; i++) {
      const row = e * SQUARE + i * STATE;
      let dot = 0;
      for (let c = 0; c < COMPONENTS; c++) dot += P[row + c]! * loading[at + c]!;
      into[intoAt + i] = dot;
    }
  }

  /** Takes check k in, for which it was predicted. */
  update({ checks, error, repeatability, shared }: LifeSeries, k: number): void {
    const { mean: m, covariance: P, weight } = this;
    const { span, curvature, friction, firstReading, varianceFactor } = checks;
    let largest = Number.NEGATIVE_INFINITY;
    for (let e = 0; e < this.size; e++) {
      const [at, square] = [e * STATE, e * SQUARE];
      m[at + SHARED] = 0;
      for (let i = 0; i < STATE; i++) P[square + SHARED * STATE + i] = P[square + i * STATE + SHARED] = 0;
      P[square + SQUARE - 1] = shared[k]!;
      let log = Math.log(weight[e]!);
      for (let r = firstReading[k]!; r < firstReading[k + 1]!; r++) {
        const [x, h2, h3] = [span[r]!, curvature[r]!, friction[r]!];
        let S = repeatability * varianceFactor[r]!;
        for (let i = 0; i < STATE; i++) {
          const row = square + i * STATE;
          const p = P[row]! + (P[row + 1]! + P[row + SHARED]!) * x + P[row + 2]! * h2 + P[row + 3]! * h3;
          gain[i] = p;
        }
        S += gain[0]! + (gain[1]! + gain[SHARED]!) * x + gain[2]! * h2 + gain[3]! * h3;
        const off =
          error[r]! - m[at]! - (m[at + 1]! + m[at + SHARED]!) * x - m[at + 2]! * h2 - m[at + 3]! * h3;
        const bound = BOUNDED_AT * Math.sqrt(S);
        const v = Math.max(-bound, Math.min(bound, off));
        log -= 0.5 * (Math.log(S) + (v * v) / S);
        for (let i = 0; i < STATE; i++) {
          const g = gain[i]! / S;
          m[at + i]! += g * v;
          const row = square + i * STATE;
          for (let j = 0; j < STATE; j++) P[row + j]! -= g * gain[j]!;
        }
      }
      weight[e] = log;
      if (log > largest) largest = log;
    }
    this.weigh(largest);
  }

  /** Allows for a shift between the check before and the one that it was predicted for. */
  openStep(): void {
    const { covariance: P, population } = this;
    for (let e = 0; e < this.size; e++) {
      P[e * SQUARE]! += STEP_WIDENING * population.stepZero;
      P[e * SQUARE + STATE + 1]! += STEP_WIDENING * population.stepSpan;
    }
  }

  /** Weights from their logarithms; what has become negligible is left behind. */
  private weigh(largest: number): void {
    const { weight, mean, covariance } = this;
    let total = 0;
    for (let e = 0; e < this.size; e++) {
      weight[e] = Math.exp(weight[e]! - largest);
      total += weight[e]!;
    }
    let kept = 0;
    for (let e = 0; e < this.size; e++) {
      const share = weight[e]! / total;
      if (share < NEGLIGIBLE) continue;
      if (kept < e) {
        mean.copyWithin(kept * STATE, e * STATE, (e + 1) * STATE);
        covariance.copyWithin(kept * SQUARE, e * SQUARE, (e + 1) * SQUARE);
      }
      weight[kept++] = share;
    }
    this.size = kept;
  }
}

const gain = new Float64Array(STATE);

/** Levels and rates of one vector after a time. @param step Between its numbers. */
function carry(x: Float64Array, at: number, step: number, d: number): void {
  const a = x[at + ACCELERATION * step]!;
  for (let c = 0; c < COMPONENTS; c++) x[at + c * step]! += d * x[at + (RATE + c) * step]!;
  x[at + step]! += 0.5 * d * d * a;
  x[at + (RATE + 1) * step]! += d * a;
}

/** Numbers of a state vector, for those who carry some along. */
export const STATE_NUMBERS = STATE;
