import type { UnitChecks } from "../fleet.ts";
import { type EventCandidate, type PriorExplanation, withEvent } from "./events.ts";
import { withoutShared } from "./fit-fleet.ts";
import type { ForecastContext } from "./forecast-context.ts";
import { explainLife, type RateEvidence, rateEvidence, weighKinds } from "./kinds.ts";
import { type LifeChecks, livesOf } from "./life-checks.ts";
import { type LifeEvents, type LifeNoise, NO_EVENTS } from "./life-filter.ts";
import { type OwnPrior, ownPosterior } from "./own-posterior.ts";
import { KIND_PARAMETER, noiseOf, soundPrior, withParameter } from "./population.ts";
import { stateAtLastCheck, type UnitState } from "./present-state.ts";
import {
  beliefWithout,
  type EffectBelief,
  effectInformation,
  informationUnder,
  type JointInformation,
  jointInformation,
} from "./shared-causes.ts";

/** One way in which the present life may be understood, with what then follows for where the unit stands. */
export interface WeighedState {
  readonly weight: number;
  /** Index into KINDS; -1: sound. */
  readonly kind: number;
  readonly events: LifeEvents;
  /** At the last check of the life, or its start. */
  readonly state: UnitState;
}

/** What is known of a unit from all its checks. */
export interface UnitPosterior {
  readonly life: LifeChecks;
  readonly lives: readonly LifeChecks[];
  readonly noise: LifeNoise;
  /** Day that the states belong to. */
  readonly stateDay: number;
  /** Likeliest first; weights add to 1. */
  readonly states: readonly WeighedState[];
  /** The likeliest set of events. */
  readonly events: LifeEvents;
  /** Errors of the present life without lots and baths. Unit: % of full scale. */
  readonly error: Float64Array;
  readonly explanations: readonly KindExplanation[];
}

interface KindExplanation extends PriorExplanation {
  readonly kind: number;
}

const DAYS_A_YEAR = 365.25;

/** States that weigh less are left out. */
const NEGLIGIBLE = 0.002;

/** Other sets of events that are tried beside the likeliest one. */
const MOST_ALTERNATIVES = 6;

/** An event surer than this is not questioned. */
const BEYOND_DOUBT = 300;

export function unitPosterior(context: ForecastContext, unit: UnitChecks): UnitPosterior {
  const { figures, design, estimates, filter, search } = context;
  const { population } = figures;
  const lives = livesOf(unit, design);
  const noise = noiseOf(
    population,
    figures.repeatability[unit.instrument] ?? Math.exp(population.repeatabilityLogMean),
  );
  const evidence: RateEvidence[] = [];
  for (const life of lives.slice(0, -1)) {
    if (life.checks > 0) evidence.push(earlierLife(context, life, noise, evidence));
  }

  const life = lives.at(-1)!;
  const prior = soundPrior(population, life.startKnown);
  const explanations = kindExplanations(context, evidence, prior);
  const error = withoutShared(life, estimates.value);
  const events = search.find(life, noise, error, explanations);
  const scenarios = [events, ...alternatives(context, life, noise, error, explanations, events)];

  const states: (WeighedState & { log: number })[] = [];
  for (const scenario of scenarios) {
    filter.run(life, noise, scenario, true);
    const joint = jointInformation(filter, life.effects);
    const belief = beliefFor(context, life, joint, noise, explanations);
    const information = informationUnder(joint, belief);
    const logPrior = logPriorOf(context, life, scenario);
    for (const { weight, prior: own, kind } of explanations) {
      const log = logPrior + Math.log(weight) + ownPosterior(information, own).logEvidence;
      if (states.some((s) => s.log > log + 8)) continue;
      const year = life.checks > 0 ? life.year[life.checks - 1]! : 0;
      states.push({
        log,
        weight: 0,
        kind,
        events: scenario,
        state: stateAtLastCheck(filter, year, own, belief),
      });
    }
  }
  const largest = Math.max(...states.map((s) => s.log));
  const total = states.reduce((sum, s) => sum + Math.exp(s.log - largest), 0);
  const kept = states
    .map((s) => ({ ...s, weight: Math.exp(s.log - largest) / total }))
    .filter((s) => s.weight > NEGLIGIBLE)
    .sort((a, b) => b.weight - a.weight);
  const keptWeight = kept.reduce((sum, s) => sum + s.weight, 0);
  return {
    life,
    lives,
    noise,
    stateDay: life.startDay + (life.checks > 0 ? life.year[life.checks - 1]! * DAYS_A_YEAR : 0),
    states: kept.map(({ weight, kind, events: e, state }) => ({
      weight: weight / keptWeight,
      kind,
      events: e,
      state,
    })),
    events,
    error,
    explanations,
  };
}

/** What an earlier life says about the unit's rates. */
function earlierLife(
  context: ForecastContext,
  life: LifeChecks,
  noise: LifeNoise,
  others: readonly RateEvidence[],
): RateEvidence {
  const { figures, estimates, filter, search } = context;
  const prior = soundPrior(figures.population, life.startKnown);
  const explanations = kindExplanations(context, others, prior);
  const error = withoutShared(life, estimates.value);
  const events = search.find(life, noise, error, explanations);
  filter.run(life, noise, events, true);
  const joint = jointInformation(filter, life.effects);
  const belief = beliefFor(context, life, joint, noise, explanations);
  return rateEvidence(ownPosterior(informationUnder(joint, belief), prior), prior);
}

function kindExplanations(
  { figures }: ForecastContext,
  others: readonly RateEvidence[],
  prior: OwnPrior,
): KindExplanation[] {
  const unknown: RateEvidence = {
    estimate: new Float64Array(KIND_PARAMETER.length),
    precision: new Float64Array(KIND_PARAMETER.length),
    prior,
  };
  return explainLife(figures.population, weighKinds(figures.population, others), unknown).map((e) => ({
    kind: e.kind,
    weight: e.weight,
    prior: e.kind < 0 ? prior : withParameter(prior, KIND_PARAMETER[e.kind]!, e.mean, e.variance),
  }));
}

/** Belief about the life's lots and baths by everything else in the fleet. */
function beliefFor(
  context: ForecastContext,
  life: LifeChecks,
  joint: JointInformation,
  noise: LifeNoise,
  explanations: readonly PriorExplanation[],
): EffectBelief {
  const { figures, estimates } = context;
  const fitted = checksUntil(life, figures.asOfDay + 1);
  if (fitted === 0) return beliefWithout(estimates, joint.effects, null);
  let known = joint;
  if (fitted < life.checks) {
    // Only the checks that the fit knew are part of its estimates.
    const { filter } = context;
    const level = filter.level.slice();
    const covariance = filter.covariance.slice();
    const information = filter.information.slice();
    filter.run({ ...life, checks: fitted }, noise, NO_EVENTS, true);
    known = jointInformation(filter, life.effects);
    filter.level.set(level);
    filter.covariance.set(covariance);
    filter.information.set(information);
  }
  const parts = explanations.map((e) => ({
    prior: e.prior,
    log:
      Math.log(e.weight) +
      ownPosterior(informationUnder(known, beliefWithout(estimates, known.effects, null)), e.prior)
        .logEvidence,
  }));
  const largest = Math.max(...parts.map((p) => p.log));
  const total = parts.reduce((sum, p) => sum + Math.exp(p.log - largest), 0);
  const weighed = parts
    .map(({ prior, log }) => ({ prior, weight: Math.exp(log - largest) / total }))
    .filter((p) => p.weight > 0.01);
  return beliefWithout(estimates, known.effects, effectInformation(known, weighed));
}

function checksUntil(life: LifeChecks, day: number): number {
  let count = life.checks;
  while (count > 0 && life.startDay + life.year[count - 1]! * DAYS_A_YEAR >= day) count--;
  return count;
}

/** Prior log-probability of a set of events: steps at the fleet's rate, stray readings at its share. */
function logPriorOf({ figures }: ForecastContext, life: LifeChecks, events: LifeEvents): number {
  const { stepsPerYear, strayShare, strayVariance } = figures.population;
  let log = 0;
  for (const k of events.stepBefore) {
    log += Math.log(stepsPerYear * (life.year[k]! - (k > 0 ? life.year[k - 1]! : 0)));
  }
  // A stray reading may lie anywhere within some standard deviations of strays.
  log += events.dropped.length * Math.log(strayShare / Math.sqrt(2 * Math.PI * strayVariance));
  return log;
}

/** The likeliest set of events with one doubtful event taken away, exchanged or added. */
function alternatives(
  context: ForecastContext,
  life: LifeChecks,
  noise: LifeNoise,
  error: Float64Array,
  explanations: readonly PriorExplanation[],
  likeliest: LifeEvents,
): LifeEvents[] {
  const tried = new Map<string, { events: LifeEvents; odds: number }>();
  const offer = (events: LifeEvents, odds: number) => {
    const key = `${events.stepBefore}|${events.dropped}`;
    if (!tried.has(key)) tried.set(key, { events, odds });
  };
  tried.set(`${likeliest.stepBefore}|${likeliest.dropped}`, { events: likeliest, odds: 0 });
  const look = (events: LifeEvents): EventCandidate[] =>
    context.search.candidates(life, noise, events, error, explanations);
  for (const candidate of look(likeliest).slice(0, 3)) offer(withEvent(likeliest, candidate), candidate.odds);
  for (const step of likeliest.stepBefore) {
    const without = { ...likeliest, stepBefore: likeliest.stepBefore.filter((k) => k !== step) };
    const candidates = look(without);
    const own = candidates.find((c) => c.step === step)?.odds ?? 0;
    if (own > BEYOND_DOUBT && candidates.filter((c) => c.odds > own / BEYOND_DOUBT).length <= 1) continue;
    offer(without, 1 / Math.max(own, 1e-3));
    for (const c of candidates.slice(0, 4)) offer(withEvent(without, c), c.odds / Math.max(own, 1e-3));
  }
  for (const stray of likeliest.dropped.slice(-3)) {
    const without = { ...likeliest, dropped: likeliest.dropped.filter((r) => r !== stray) };
    const candidates = look(without);
    const own = candidates.find((c) => c.stray === stray)?.odds ?? 0;
    if (own > BEYOND_DOUBT && candidates.filter((c) => c.odds > own / BEYOND_DOUBT).length <= 1) continue;
    offer(without, 1 / Math.max(own, 1e-3));
    for (const c of candidates.slice(0, 2)) offer(withEvent(without, c), c.odds / Math.max(own, 1e-3));
  }
  return [...tried.values()]
    .slice(1)
    .sort((a, b) => b.odds - a.odds)
    .slice(0, MOST_ALTERNATIVES)
    .map((t) => t.events);
}
