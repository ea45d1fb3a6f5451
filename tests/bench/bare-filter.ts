import { livesOf } from "../../analysis/drift/life-checks.ts";
import {
  KIND_PARAMETER,
  KIND_SIGNS,
  noiseOf,
  POPULATION_BEFORE_DATA,
  soundPrior,
} from "../../analysis/drift/population.ts";
import { designShared } from "../../analysis/drift/shared-design.ts";
import type { FleetChecks } from "../../analysis/index.ts";

/** The readings of a whole fleet in one list of columns, cut into lives and checks; what the loops below run over. */
export interface BareFleet {
  /** Life l holds the checks from `firstCheck[l]` to `firstCheck[l + 1]`, check k the readings likewise. */
  readonly firstCheck: Int32Array;
  readonly firstReading: Int32Array;
  readonly startKnown: Uint8Array;
  readonly year: Float64Array;
  readonly sharedVariance: Float64Array;
  readonly span: Float64Array;
  readonly curvature: Float64Array;
  readonly friction: Float64Array;
  readonly error: Float64Array;
}

/** Lays a fleet out for the bare loops. */
export function bareFleet(fleet: FleetChecks): BareFleet {
  const design = designShared(fleet, () => [0]);
  const lives = fleet.units.flatMap((unit) => livesOf(unit, design)).filter((life) => life.checks > 0);
  const checks = lives.reduce((sum, life) => sum + life.checks, 0);
  const readings = lives.reduce((sum, life) => sum + life.error.length, 0);
  const bare = {
    firstCheck: new Int32Array(lives.length + 1),
    firstReading: new Int32Array(checks + 1),
    startKnown: new Uint8Array(lives.length),
    year: new Float64Array(checks),
    sharedVariance: new Float64Array(checks),
    span: new Float64Array(readings),
    curvature: new Float64Array(readings),
    friction: new Float64Array(readings),
    error: new Float64Array(readings),
  };
  const { proportional, temperature, unrecordedTemperature } = noiseOf(POPULATION_BEFORE_DATA, 1);
  let k = 0;
  let r = 0;
  lives.forEach((life, l) => {
    bare.startKnown[l] = life.startKnown ? 1 : 0;
    bare.year.set(life.year, k);
    for (let c = 0; c < life.checks; c++) {
      const kelvin = life.temperatureKnown[c] ? temperature : unrecordedTemperature;
      bare.sharedVariance[k + c] = proportional + life.coefficient[c]! ** 2 * kelvin;
      bare.firstReading[k + c] = r + life.firstReading[c]!;
    }
    for (const column of ["span", "curvature", "friction", "error"] as const)
      bare[column].set(life[column], r);
    k += life.checks;
    r += life.error.length;
    bare.firstCheck[l + 1] = k;
  });
  bare.firstReading[checks] = r;
  return bare;
}

/** Wander of four components and the error that one check's readings share. */
const S = 5;
/** A life's nine numbers, then the error. */
const C = 10;
const P = 9;

/**
 * The least that the fleet model asks of every reading: one pass of the filter with a life's nine numbers carried along,
 * one pass back that weighs a step in every gap and a stray at every reading, and the weight of every kind of drift.
 * No fleet is learnt, no lot is told from a unit, nothing is simulated forward, no answer is put into words.
 *
 * @returns A sum over all results, so that nothing of it can be left out.
 */
export function bareFilterAndMixture(fleet: BareFleet): number {
  const { firstCheck, firstReading, year, sharedVariance, span, curvature, friction, error } = fleet;
  const { wander, stepZero, stepSpan } = POPULATION_BEFORE_DATA;
  const repeatability = Math.exp(POPULATION_BEFORE_DATA.repeatabilityLogMean);
  const priors = [soundPrior(POPULATION_BEFORE_DATA, false), soundPrior(POPULATION_BEFORE_DATA, true)];
  const cov = new Float64Array(S * S);
  const level = new Float64Array(C * S);
  const info = new Float64Array(C * C);
  const v = new Float64Array(C);
  const h = new Float64Array(S);
  const ph = new Float64Array(S);
  const back = new Float64Array(S);
  const backOwn = new Float64Array(S * P);
  const backInfo = new Float64Array(S * S);
  const spread = new Float64Array(S);
  const own = new Float64Array(P);
  const factor = new Float64Array(P * P);
  const mean = new Float64Array(P);
  const root = new Float64Array(P);
  let longest = 0;
  for (let l = 0; l < fleet.startKnown.length; l++) {
    longest = Math.max(longest, firstReading[firstCheck[l + 1]!]! - firstReading[firstCheck[l]!]!);
  }
  const gain = new Float64Array(longest * S);
  const weight = new Float64Array(longest);
  const innovation = new Float64Array(longest * C);
  let sum = 0;

  for (let l = 0; l < fleet.startKnown.length; l++) {
    const from = firstCheck[l]!;
    const to = firstCheck[l + 1]!;
    const base = firstReading[from]!;
    cov.fill(0);
    level.fill(0);
    info.fill(0);
    let before = 0;
    let log = 0;
    for (let k = from; k < to; k++) {
      const t = year[k]!;
      for (let c = 0; c < 4; c++) cov[c * (S + 1)]! += wander[c]! * (t - before);
      before = t;
      for (let c = 0; c < 4; c++) cov[c * S + 4] = cov[4 * S + c] = 0;
      cov[24] = sharedVariance[k]!;
      for (let c = 0; c < C; c++) level[c * S + 4] = 0;
      for (let r = firstReading[k]!; r < firstReading[k + 1]!; r++) {
        h[0] = 1;
        h[1] = h[4] = span[r]!;
        h[2] = curvature[r]!;
        h[3] = friction[r]!;
        let variance = repeatability;
        for (let a = 0; a < S; a++) {
          let p = 0;
          for (let b = 0; b < S; b++) p += cov[a * S + b]! * h[b]!;
          ph[a] = p;
          variance += p * h[a]!;
        }
        const w = 1 / variance;
        log -= 0.5 * Math.log(variance);
        const at = r - base;
        weight[at] = w;
        for (let a = 0; a < S; a++) gain[at * S + a] = ph[a]! * w;
        for (let c = 0; c < 4; c++) {
          v[c] = h[c]!;
          v[4 + c] = t * h[c]!;
        }
        v[8] = 0.5 * t * t * h[1]!;
        v[9] = error[r]!;
        for (let c = 0; c < C; c++) {
          let d = v[c]!;
          for (let a = 0; a < S; a++) d -= level[c * S + a]! * h[a]!;
          v[c] = d;
          for (let a = 0; a < S; a++) level[c * S + a]! += gain[at * S + a]! * d;
          for (let j = 0; j <= c; j++) info[c * C + j]! += d * w * v[j]!;
        }
        innovation.set(v, at * C);
        for (let a = 0; a < S; a++) {
          for (let b = 0; b < S; b++) cov[a * S + b]! -= gain[at * S + a]! * ph[b]!;
        }
      }
    }

    back.fill(0);
    backOwn.fill(0);
    backInfo.fill(0);
    for (let k = to - 1; k >= from; k--) {
      for (let r = firstReading[k + 1]! - 1; r >= firstReading[k]!; r--) {
        const at = r - base;
        const w = weight[at]!;
        h[0] = 1;
        h[1] = h[4] = span[r]!;
        h[2] = curvature[r]!;
        h[3] = friction[r]!;
        let score = innovation[at * C + 9]! * w;
        let asked = w;
        for (let a = 0; a < S; a++) {
          let n = 0;
          for (let b = 0; b < S; b++) n += backInfo[a * S + b]! * gain[at * S + b]!;
          spread[a] = n;
          score -= gain[at * S + a]! * back[a]!;
          asked += gain[at * S + a]! * n;
        }
        for (let p = 0; p < P; p++) {
          let n = innovation[at * C + p]! * w;
          for (let a = 0; a < S; a++) n -= gain[at * S + a]! * backOwn[a * P + p]!;
          own[p] = n;
        }
        for (let a = 0; a < S; a++) {
          back[a]! += h[a]! * score;
          for (let p = 0; p < P; p++) backOwn[a * P + p]! += h[a]! * own[p]!;
          for (let b = 0; b < S; b++)
            backInfo[a * S + b]! += h[a]! * h[b]! * asked - h[a]! * spread[b]! - spread[a]! * h[b]!;
        }
        sum += Math.log1p((score * score) / (1 + asked));
      }
      sum +=
        (back[0]! ** 2 * stepZero) / (1 + stepZero * backInfo[0]!) +
        (back[1]! ** 2 * stepSpan) / (1 + stepSpan * backInfo[6]!);
      back[4] = 0;
      backOwn.fill(0, 4 * P);
      for (let a = 0; a < S; a++) backInfo[a * S + 4] = backInfo[4 * S + a] = 0;
    }

    // The nine numbers of a sound life, then the odds of each kind and direction against it.
    const prior = priors[fleet.startKnown[l]!]!;
    for (let i = 0; i < P; i++) {
      mean[i] = info[9 * C + i]! + prior.mean[i]! / prior.variance[i]!;
      for (let j = 0; j <= i; j++) factor[i * P + j] = info[i * C + j]!;
      factor[i * P + i]! += 1 / prior.variance[i]!;
    }
    for (let i = 0; i < P; i++) {
      for (let j = 0; j <= i; j++) {
        let s = factor[i * P + j]!;
        for (let k = 0; k < j; k++) s -= factor[i * P + k]! * factor[j * P + k]!;
        factor[i * P + j] = i === j ? Math.sqrt(s) : s / factor[j * P + j]!;
      }
      let s = mean[i]!;
      for (let k = 0; k < i; k++) s -= factor[i * P + k]! * mean[k]!;
      mean[i] = s / factor[i * P + i]!;
      log += 0.5 * mean[i]! ** 2 - Math.log(factor[i * P + i]!);
    }
    for (let i = P - 1; i >= 0; i--) {
      let s = mean[i]!;
      for (let k = i + 1; k < P; k++) s -= factor[k * P + i]! * mean[k]!;
      mean[i] = s / factor[i * P + i]!;
    }
    let odds = 1;
    for (let kind = 0; kind < KIND_PARAMETER.length; kind++) {
      const p = KIND_PARAMETER[kind]!;
      // The variance of the kind's number: the squared length of one column of the inverse factor.
      root.fill(0);
      let variance = 0;
      for (let i = p; i < P; i++) {
        let s = i === p ? 1 : 0;
        for (let k = p; k < i; k++) s -= factor[i * P + k]! * root[k]!;
        root[i] = s / factor[i * P + i]!;
        variance += root[i]! ** 2;
      }
      for (const sign of KIND_SIGNS[kind]!) {
        const rate = sign * POPULATION_BEFORE_DATA.rateMedian[kind]!;
        odds +=
          POPULATION_BEFORE_DATA.kindShare[kind]! *
          Math.exp((-0.5 * (mean[p]! - rate) ** 2) / (variance + rate * rate));
      }
    }
    sum += log + Math.log(odds);
  }
  return sum;
}
