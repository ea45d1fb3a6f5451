import type { ForecastBasis } from "../assessment.ts";
import { type BandName, JUDGING_TORQUES } from "../band.ts";
import { type UnitChecks, USE } from "../fleet.ts";
import { ACCELERATION, COMPONENTS, PARAMETERS, RATE } from "./components.ts";
import { type Expectation, priorOf } from "./explained-life.ts";
import type { ForecastContext } from "./forecast-context.ts";
import { isFarFromLimits, simulateForward } from "./forward-paths.ts";
import { sharedAt } from "./life-checks.ts";
import type { OutAhead } from "./out-ahead.ts";
import type { OwnPrior } from "./own-posterior.ts";
import { KIND_PARAMETER, KINDS } from "./population.ts";
import { stateAtLastCheck, type UnitState } from "./present-state.ts";
import { hashText } from "./random.ts";
import { errorRateAhead, mixtureMoments, partsAhead } from "./state-ahead.ts";
import { lastYear, type UnitPosterior } from "./unit-posterior.ts";

/** The forecast without the fleet is for comparison only: so many paths tell it to some hundredths. */
const PATHS_ALONE = 96;

/** What the forecast rests on, so that it can be taken apart. */
export function forecastBasis(
  context: ForecastContext,
  unit: UnitChecks,
  posterior: UnitPosterior,
  ahead: OutAhead,
  band: BandName,
): ForecastBasis {
  return {
    checksUsed: posterior.life.checks,
    checksLeftOut: checksLeftOut(unit, posterior),
    sharedErrorRemoved: sharedErrorRemoved(context, posterior),
    fleetWeight: fleetWeight(posterior, JUDGING_TORQUES[band] / 100),
    explanations: explanationsOf(posterior),
    pOutBeforeServiceAlone:
      unit.nextServiceDueDay === null ? null : pOutAlone(context, unit, posterior, ahead),
  };
}

/** Checks of the present life of which no reading was used. */
function checksLeftOut({ readings }: UnitChecks, { life, events }: UnitPosterior): number {
  const used = new Set<number>();
  const stray = new Set(events.dropped);
  life.reading.forEach((reading, r) => {
    if (!stray.has(r)) used.add(readings.check[reading]!);
  });
  const all = new Set<number>();
  for (let i = 0; i < readings.count; i++) {
    const isOfThisLife = readings.day[i]! >= life.startDay;
    if (isOfThisLife && (readings.use[i] === USE.shownOnly || !used.has(readings.check[i]!))) {
      all.add(readings.check[i]!);
    }
  }
  for (const check of used) all.delete(check);
  return all.size;
}

/** Mean of what lots and baths added over the checks of the present life. Unit: % of reading. */
function sharedErrorRemoved({ estimates }: ForecastContext, { life }: UnitPosterior): number {
  let sum = 0;
  for (let k = 0; k < life.checks; k++) sum += sharedAt(life, estimates.value, k);
  return life.checks > 0 ? sum / life.checks : 0;
}

/** How much of the doubt about a band's drift rate that the fleet leaves is still there after the unit's checks. */
function fleetWeight({ states, expectation }: UnitPosterior, x: number): number {
  const rate = errorRateAhead(x, 0);
  const before = expectation.explanations.map((explanation) => ({
    weight: explanation.weight,
    state: asState(priorOf(expectation, explanation)),
  }));
  const prior = mixtureMoments(partsAhead(before, rate)).sd;
  const posterior = mixtureMoments(partsAhead(states, rate)).sd;
  return Math.min(1, (posterior / prior) ** 2);
}

function asState({ mean, variance }: OwnPrior): UnitState {
  const covariance = new Float64Array(PARAMETERS * PARAMETERS);
  variance.forEach((v, p) => {
    covariance[p * PARAMETERS + p] = v;
  });
  return { mean, covariance };
}

function explanationsOf({ states }: UnitPosterior): ForecastBasis["explanations"] {
  const weight = new Map<string, number>();
  for (const { kind, events, weight: w } of states) {
    const drift = kind < 0 ? "sound" : KINDS[kind]!;
    const name = events.stepBefore.length > 0 ? `${drift}, step` : drift;
    weight.set(name, (weight.get(name) ?? 0) + w);
  }
  return [...weight].map(([name, w]) => ({ name, weight: w })).sort((a, b) => b.weight - a.weight);
}

const NO_EFFECTS = { precision: new Float64Array(0), pull: new Float64Array(0) };

/**
 * Probability to be out before service by the present life's checks alone: lots and baths left in, any rate held
 * possible, no step expected. null where the life has no check.
 */
function pOutAlone(
  { figures, filter }: ForecastContext,
  unit: UnitChecks,
  { life, noise, events, expectation }: UnitPosterior,
  { model, times, atService }: OutAhead,
): number | null {
  if (life.checks === 0) return null;
  filter.run(life, noise, { stepBefore: [], dropped: events.dropped });
  const prior = widePrior(expectation, figures.population.rateMedian);
  const state = stateAtLastCheck(filter, lastYear(life), prior, NO_EFFECTS);
  const stepless = { ...model, stepsPerYear: 0 };
  if (isFarFromLimits(state, stepless, times[atService]!)) return 0;
  const until = times.subarray(0, atService + 1);
  const { outBy } = simulateForward(state, stepless, until, PATHS_ALONE, hashText(unit.instrument));
  return Math.min(1, outBy[atService]!);
}

/** A unit of which nothing is known: it may start anywhere near zero and drift as fast as drifting units do. */
function widePrior({ sound }: Expectation, rateMedian: readonly number[]): OwnPrior {
  const mean = new Float64Array(PARAMETERS);
  const variance = Float64Array.from(sound.variance);
  for (let c = 0; c < COMPONENTS; c++) variance[c] = 4 * sound.variance[c]!;
  rateMedian.forEach((rate, kind) => {
    const parameter = KIND_PARAMETER[kind]!;
    if (parameter >= RATE && parameter !== ACCELERATION) variance[parameter] = rate * rate;
  });
  return { mean, variance };
}
