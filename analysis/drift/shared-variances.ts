import { factorise, inverseFromFactor, logDeterminant, solveLower } from "./cholesky.ts";
import type { EffectEstimates } from "./effect-blocks.ts";
import { CAUSES, type Cause, type SharedDesign } from "./shared-design.ts";

/** Standard deviations before any data, and how many effects they count for. Unit: % of reading; K for baths. */
const BEFORE_DATA: Readonly<Record<Cause, { readonly sd: number; readonly effects: number }>> = {
  lot: { sd: 0.35, effects: 6 },
  "lot-ageing": { sd: 1.5, effects: 6 },
  bath: { sd: 0.1, effects: 4 },
  "bath-quarter": { sd: 0.05, effects: 10 },
  geometry: { sd: 0.1, effects: 6 },
  operator: { sd: 0.1, effects: 6 },
};

/** A lot that does not age may still change by this much. Unit: % per year. */
const STEADY_RATE_SD = 0.05;

/** Share of lots that age, before any data: 1 in 10, counted as ten lots. */
const AGEING_SHARE = 0.1;
const AGEING_LOTS = 10;

/** Lots' errors have heavier tails than the normal distribution: Student's with these degrees of freedom. */
const LOT_FREEDOM = 4;

/** Ageing less probable than this is not modelled. */
const AGEING_WORTH = 0.3;

/** What the shared effects are believed to spread by. */
export interface SharedSpread {
  readonly sd: Record<Cause, number>;
  ageingShare: number;
  /** Prior variance of each effect, the heavier tails of lots and their ageing considered. */
  readonly variance: Float64Array;
  /** Probability of ageing by lot of the design (by position in `courses`). */
  readonly ageing: Float64Array;
}

/** The spread of a fleet's shared effects before its readings are looked at. */
export function spreadBeforeData(design: SharedDesign): SharedSpread {
  const sd = Object.fromEntries(CAUSES.map((cause) => [cause, BEFORE_DATA[cause].sd])) as Record<
    Cause,
    number
  >;
  return {
    sd,
    ageingShare: AGEING_SHARE,
    variance: Float64Array.from(design.cause, (cause) => sd[CAUSES[cause]!] ** 2),
    ageing: new Float64Array(design.courses.length).fill(AGEING_SHARE),
  };
}

/** The spread for another design of the same fleet: variances by cause, ageing where it is worth it. */
export function spreadFor(design: SharedDesign, before: SharedSpread): SharedSpread {
  const spread = {
    sd: { ...before.sd },
    ageingShare: before.ageingShare,
    variance: Float64Array.from(design.cause, (cause) => before.sd[CAUSES[cause]!] ** 2),
    ageing: Float64Array.from(before.ageing),
  };
  applyAgeing(design, spread);
  return spread;
}

/** Re-estimates the spread from the effects: expectation-maximisation, one step. */
export function updateSpread(design: SharedDesign, spread: SharedSpread, estimates: EffectEstimates): void {
  const n = design.keys.length;
  const sums = CAUSES.map((cause) => {
    const { sd, effects } = BEFORE_DATA[cause];
    return { square: effects * sd * sd, count: effects };
  });
  const lot = CAUSES.indexOf("lot");
  const ageing = CAUSES.indexOf("lot-ageing");
  const square = (e: number) => estimates.value[e]! ** 2 + estimates.variance(e);
  for (let e = 0; e < n; e++) {
    const cause = design.cause[e]!;
    if (cause === ageing) continue;
    const scale = cause === lot ? tailWeight(square(e), spread.sd.lot) : 1;
    sums[cause]!.square += scale * square(e);
    sums[cause]!.count += 1;
  }
  CAUSES.forEach((cause, c) => {
    if (c !== ageing) spread.sd[cause] = Math.sqrt(sums[c]!.square / sums[c]!.count);
  });
  updateAgeing(design, spread, estimates);
  for (let e = 0; e < n; e++) {
    const cause = design.cause[e]!;
    if (cause === ageing) continue;
    const variance = spread.sd[CAUSES[cause]!] ** 2;
    spread.variance[e] = cause === lot ? variance / tailWeight(square(e), spread.sd.lot) : variance;
  }
  applyAgeing(design, spread);
}

function tailWeight(square: number, sd: number): number {
  return (LOT_FREEDOM + 1) / (LOT_FREEDOM + square / (sd * sd));
}

/** Weighs for each lot whether its error changes with time. */
function updateAgeing(design: SharedDesign, spread: SharedSpread, estimates: EffectEstimates): void {
  let expected = AGEING_SHARE * AGEING_LOTS;
  let lots = AGEING_LOTS;
  let square = BEFORE_DATA["lot-ageing"].effects * BEFORE_DATA["lot-ageing"].sd ** 2;
  let count = BEFORE_DATA["lot-ageing"].effects;
  design.courses.forEach((course, lot) => {
    if (course === null) return;
    const first = design.lotEffect[lot]! + 1;
    const d = course.kneeDays.length;
    const odds =
      (spread.ageingShare / (1 - spread.ageingShare)) *
      Math.exp(
        ageingEvidence(estimates, spread.variance, first, d, spread.sd["lot-ageing"] ** 2) -
          ageingEvidence(estimates, spread.variance, first, d, STEADY_RATE_SD ** 2),
      );
    const probability = odds / (1 + odds);
    spread.ageing[lot] = Number.isNaN(probability) ? 1 : probability;
    expected += spread.ageing[lot]!;
    lots++;
    if (spread.ageing[lot]! < 0.5) return;
    let rate = 0;
    let variance = 0;
    for (const v of estimates.covariance(effectRange(first, d))) variance += v;
    for (let k = 0; k < d; k++) rate += estimates.value[first + k]!;
    square += spread.ageing[lot]! * (rate * rate + variance);
    count += spread.ageing[lot]!;
  });
  spread.ageingShare = expected / lots;
  spread.sd["lot-ageing"] = Math.sqrt(square / count);
}

/** Log of the marginal likelihood of a lot's ageing under a prior variance, up to a constant. */
function ageingEvidence(
  estimates: EffectEstimates,
  current: Float64Array,
  first: number,
  d: number,
  variance: number,
): number {
  const block = estimates.covariance(effectRange(first, d));
  if (d === 0 || !factorise(block, d)) return 0;
  const precision = inverseFromFactor(block, d);
  const pull = new Float64Array(d);
  for (let i = 0; i < d; i++) {
    for (let j = 0; j < d; j++) pull[i]! += precision[i * d + j]! * estimates.value[first + j]!;
  }
  // The present prior out, the one to be tried in.
  for (let i = 0; i < d; i++) precision[i * d + i]! += 1 / variance - 1 / current[first + i]!;
  if (!factorise(precision, d)) return 0;
  solveLower(precision, d, pull);
  let log = -0.5 * (d * Math.log(variance) + logDeterminant(precision, d));
  for (let i = 0; i < d; i++) log += 0.5 * pull[i]! ** 2;
  return log;
}

function effectRange(first: number, count: number): number[] {
  return Array.from({ length: count }, (_, k) => first + k);
}

function applyAgeing(design: SharedDesign, spread: SharedSpread): void {
  design.courses.forEach((course, lot) => {
    if (course === null) return;
    const sd = spread.ageing[lot]! > AGEING_WORTH ? spread.sd["lot-ageing"] : STEADY_RATE_SD;
    const first = design.lotEffect[lot]! + 1;
    for (let k = 0; k < course.kneeDays.length; k++) spread.variance[first + k] = sd * sd;
  });
}

/** Lots whose ageing is worth a closer look. */
export function isAgeing(spread: SharedSpread, lot: number): boolean {
  return spread.ageing[lot]! > AGEING_WORTH;
}
