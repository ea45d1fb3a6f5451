import type { UnitChecks } from "../fleet.ts";
import { groupOf } from "./effect-blocks.ts";
import { type EventCandidate, type FoundEvents, withEvent } from "./events.ts";
import { type Expectation, priorOf, weighExplanations } from "./explained-life.ts";
import type { ForecastContext } from "./forecast-context.ts";
import { expectLife, type RateEvidence, rateEvidence } from "./kinds.ts";
import { type LifeChecks, livesOf, withoutShared } from "./life-checks.ts";
import { type LifeEvents, type LifeNoise, NO_EVENTS } from "./life-filter.ts";
import { movedVariance, repeatabilityScore, sumOfScores, type VarianceScore } from "./noise-scores.ts";
import { ownPosterior } from "./own-posterior.ts";
import { noiseOf, soundPrior } from "./population.ts";
import { stateAtLastCheck, type UnitState } from "./present-state.ts";
import {
  beliefWithout,
  type EffectBelief,
  effectInformation,
  informationUnder,
  type JointInformation,
  jointInformation,
} from "./shared-causes.ts";
import { DAYS_A_YEAR } from "./time.ts";

/** One way in which the present life may be understood, with what then follows for where the unit stands. */
export interface WeighedState {
  readonly weight: number;
  /** Index into KINDS; -1: sound. */
  readonly kind: number;
  readonly events: LifeEvents;
  /** At the last check of the life, or its start. */
  readonly state: UnitState;
  /** What the rest of the fleet says about the life's lots and baths. */
  readonly belief: EffectBelief;
}

/** What is known of a unit from all its checks. */
export interface UnitPosterior {
  /** The present life. */
  readonly life: LifeChecks;
  readonly noise: LifeNoise;
  /** Day that the states belong to. */
  readonly stateDay: number;
  /** Likeliest first; weights add to 1. */
  readonly states: readonly WeighedState[];
  /** The likeliest set of events. */
  readonly events: LifeEvents;
  /** Errors of the present life without lots and baths. Unit: % of full scale. */
  readonly error: Float64Array;
  /** What was believed of the present life before its readings. */
  readonly expectation: Expectation;
  /** Whether any of its lives holds a usable check. */
  readonly wasEverChecked: boolean;
  readonly earlier: EarlierLives;
}

/** The lives before the present one, and what those with checks say about the unit's rates. */
interface EarlierLives {
  readonly lives: readonly LifeChecks[];
  readonly noise: LifeNoise;
  readonly evidence: readonly RateEvidence[];
}

/** States that weigh less are left out. */
const NEGLIGIBLE = 0.002;

/** Other sets of events that are tried beside the likeliest one. */
const MOST_ALTERNATIVES = 6;

/** An event surer than this is not questioned. */
const BEYOND_DOUBT = 300;

/** One of so many units changes a lot's or bath's estimate too little to be taken out of it. */
const ONE_OF_MANY = 12;

/** So many checks tell a unit's repeatability well enough. */
const CHECKS_FOR_NOISE = 60;

/** What the steps below have in common. */
interface UnitAtHand {
  readonly context: ForecastContext;
  /** Group that its shared causes are estimated with. */
  readonly group: string;
  readonly noise: LifeNoise;
  /** Whether its checks took part in the fleet's figures. */
  readonly isLearntFrom: boolean;
}

/**
 * Everything that a unit's checks, its earlier lives and the fleet say about where it stands.
 *
 * @param later What was found of it with more checks: earlier lives that are the same are not gone through again.
 */
export function unitPosterior(
  context: ForecastContext,
  unit: UnitChecks,
  later: UnitPosterior | null = null,
): UnitPosterior {
  const { figures, design, estimates, search } = context;
  const { population } = figures;
  const lives = livesOf(unit, design);
  const isLearntFrom = Object.hasOwn(figures.repeatability, unit.instrument);
  const noise = noiseOf(
    population,
    isLearntFrom ? figures.repeatability[unit.instrument]! : ownRepeatability(context, lives),
  );
  const atHand = { context, group: groupOf(unit), noise, isLearntFrom };
  const before = lives.slice(0, -1);
  const earlier =
    later !== null && areSame(before, noise, later.earlier)
      ? later.earlier
      : { lives: before, noise, evidence: evidenceOf(atHand, before) };
  const { evidence } = earlier;

  const life = lives.at(-1)!;
  const expectation = expectationOf(context, life, evidence);
  const error = withoutShared(life, estimates.value);
  const found = search.find(life, noise, error, expectation);
  context.joined.join(life, estimates.value);
  const states = statesUnder(atHand, life, found.events, expectation);
  for (const events of alternatives(context, life, noise, error, expectation, found)) {
    context.joined.run(life, noise, events);
    states.push(...statesUnder(atHand, life, events, expectation));
  }
  return {
    life,
    noise,
    stateDay: life.startDay + lastYear(life) * DAYS_A_YEAR,
    states: normalised(states),
    events: found.events,
    error,
    expectation,
    wasEverChecked: lives.some(({ checks }) => checks > 0),
    earlier,
  };
}

/** Of one unit: a life that holds as many readings holds the same ones. */
function areSame(lives: readonly LifeChecks[], noise: LifeNoise, earlier: EarlierLives): boolean {
  return (
    noise.repeatability === earlier.noise.repeatability &&
    lives.length === earlier.lives.length &&
    lives.every(({ reading }, i) => reading.length === earlier.lives[i]!.reading.length)
  );
}

function evidenceOf(atHand: UnitAtHand, lives: readonly LifeChecks[]): RateEvidence[] {
  const evidence: RateEvidence[] = [];
  for (const life of lives) if (life.checks > 0) evidence.push(earlierLife(atHand, life, evidence));
  return evidence;
}

/** Time of the life's last check since its start; 0 without one. Unit: years. */
export function lastYear(life: LifeChecks): number {
  return life.checks > 0 ? life.year[life.checks - 1]! : 0;
}

function expectationOf(
  { figures }: ForecastContext,
  life: LifeChecks,
  others: readonly RateEvidence[],
): Expectation {
  const sound = soundPrior(figures.population, life.startKnown);
  return { sound, explanations: expectLife(figures.population, others, sound) };
}

/** Repeatability variance of a unit that the figures do not know, from its latest checks. */
function ownRepeatability(context: ForecastContext, lives: readonly LifeChecks[]): number {
  const { figures, estimates, search, smoother } = context;
  const { population } = figures;
  const typical = Math.exp(population.repeatabilityLogMean);
  const noise = noiseOf(population, typical);
  const scores: VarianceScore[] = [];
  let checks = 0;
  for (const life of [...lives].reverse()) {
    if (checks >= CHECKS_FOR_NOISE) break;
    if (life.checks === 0) continue;
    checks += life.checks;
    search.smooth(
      life,
      noise,
      NO_EVENTS,
      withoutShared(life, estimates.value),
      expectationOf(context, life, []),
    );
    scores.push(repeatabilityScore(life, noise, smoother));
  }
  return movedVariance(typical, sumOfScores(scores), typical, population.repeatabilityLogSd);
}

/** What an earlier life says about the unit's rates. */
function earlierLife(atHand: UnitAtHand, life: LifeChecks, others: readonly RateEvidence[]): RateEvidence {
  const { context, noise } = atHand;
  const { figures, estimates, joined, search } = context;
  const expectation = expectationOf(context, life, others);
  search.find(life, noise, withoutShared(life, estimates.value), expectation);
  joined.join(life, estimates.value);
  const joint = jointInformation(joined, life.effects);
  const belief = beliefFor(atHand, life, joint, expectation);
  const posterior = ownPosterior(informationUnder(joint, belief), expectation.sound);
  return rateEvidence(figures.population, posterior, expectation.sound);
}

interface UnnormalisedState extends Omit<WeighedState, "weight"> {
  readonly log: number;
}

/** The explanations of the present life with one set of events, which its columns hold, and where the unit then stands. */
function statesUnder(
  atHand: UnitAtHand,
  life: LifeChecks,
  events: LifeEvents,
  expectation: Expectation,
): UnnormalisedState[] {
  const { context } = atHand;
  const { joined } = context;
  const joint = jointInformation(joined, life.effects);
  const belief = beliefFor(atHand, life, joint, expectation);
  const { parts, logEvidence } = weighExplanations(informationUnder(joint, belief), expectation, NEGLIGIBLE);
  const log = logEvidence + logPriorOf(context, life, events);
  return parts.map(({ explanation, weight }) => ({
    log: log + Math.log(weight),
    kind: explanation.kind,
    events,
    state: stateAtLastCheck(joined, lastYear(life), priorOf(expectation, explanation), belief),
    belief,
  }));
}

function normalised(states: readonly UnnormalisedState[]): WeighedState[] {
  const largest = Math.max(...states.map((s) => s.log));
  const kept = states
    .map(({ log, ...state }) => ({ ...state, weight: Math.exp(log - largest) }))
    .sort((a, b) => b.weight - a.weight);
  const total = kept.reduce((sum, s) => sum + s.weight, 0);
  const worth = kept.filter((s) => s.weight > NEGLIGIBLE * total);
  const left = worth.reduce((sum, s) => sum + s.weight, 0);
  return worth.map((s) => ({ ...s, weight: s.weight / left }));
}

/** Belief about the life's lots and baths by everything else in the fleet. */
function beliefFor(
  { context, group, isLearntFrom }: UnitAtHand,
  life: LifeChecks,
  joint: JointInformation,
  expectation: Expectation,
): EffectBelief {
  const { figures, estimates } = context;
  const whole = beliefWithout(estimates, group, joint.effects, null);
  const { units } = figures.shared;
  const isOneOfMany = joint.effects.every((effect) => (units[effect] ?? 0) >= ONE_OF_MANY);
  // A life that goes on after the fit is mostly unknown to it.
  const isInFit = isLearntFrom && life.startDay + lastYear(life) * DAYS_A_YEAR < figures.asOfDay + 1;
  if (!isInFit || isOneOfMany) return whole;
  const { parts } = weighExplanations(informationUnder(joint, whole), expectation, 0.01);
  const explanations = parts.map(({ explanation, weight }) => ({ ...explanation, weight }));
  return beliefWithout(
    estimates,
    group,
    joint.effects,
    effectInformation(joint, expectation.sound, explanations),
  );
}

/** Prior log-probability of a set of events: steps at the fleet's rate, stray readings at its share. */
function logPriorOf({ figures }: ForecastContext, life: LifeChecks, events: LifeEvents): number {
  const { stepsPerYear, strayShare, strayVariance } = figures.population;
  let log = 0;
  for (const k of events.stepBefore) {
    log += Math.log(stepsPerYear * (life.year[k]! - (k > 0 ? life.year[k - 1]! : 0)));
  }
  // A stray reading may lie anywhere within some standard deviations of strays.
  return log + events.dropped.length * Math.log(strayShare / Math.sqrt(2 * Math.PI * strayVariance));
}

/** The likeliest set of events with one doubtful event taken away, exchanged or added; likeliest first. */
function alternatives(
  { search }: ForecastContext,
  life: LifeChecks,
  noise: LifeNoise,
  error: Float64Array,
  expectation: Expectation,
  { events: likeliest, candidates: beside }: FoundEvents,
): LifeEvents[] {
  const keyOf = (events: LifeEvents) => `${events.stepBefore}|${events.dropped}`;
  const offered = new Map<string, { events: LifeEvents; odds: number }>();
  const offer = (events: LifeEvents, odds: number) => {
    const key = keyOf(events);
    if (key !== keyOf(likeliest) && odds >= (offered.get(key)?.odds ?? 0)) offered.set(key, { events, odds });
  };
  const look = (events: LifeEvents): EventCandidate[] =>
    search.candidates(life, noise, events, error, expectation);
  const question = (without: LifeEvents, isSame: (c: EventCandidate) => boolean) => {
    const candidates = look(without);
    const own = candidates.find(isSame)?.odds ?? 1;
    if (own < BEYOND_DOUBT) offer(without, 1 / own);
    for (const c of candidates.slice(0, 4)) {
      if (c.odds > own / BEYOND_DOUBT) offer(withEvent(without, c), c.odds / own);
    }
  };
  for (const c of beside.slice(0, 3)) offer(withEvent(likeliest, c), c.odds);
  for (const step of likeliest.stepBefore) {
    question(
      { ...likeliest, stepBefore: likeliest.stepBefore.filter((k) => k !== step) },
      (c) => c.step === step,
    );
  }
  for (const stray of likeliest.dropped.slice(-3)) {
    question(
      { ...likeliest, dropped: likeliest.dropped.filter((r) => r !== stray) },
      (c) => c.stray === stray,
    );
  }
  return [...offered.values()]
    .sort((a, b) => b.odds - a.odds)
    .slice(0, MOST_ALTERNATIVES)
    .map((o) => o.events);
}
