import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { EventSearch } from "../../../analysis/drift/events.ts";
import { type Expectation, weighExplanations } from "../../../analysis/drift/explained-life.ts";
import type { LifeChecks } from "../../../analysis/drift/life-checks.ts";
import { type LifeEvents, LifeFilter, NO_EVENTS } from "../../../analysis/drift/life-filter.ts";
import { LifeSmoother } from "../../../analysis/drift/life-smoother.ts";
import { ownInformation } from "../../../analysis/drift/own-posterior.ts";
import { noiseOf, POPULATION_BEFORE_DATA, soundPrior } from "../../../analysis/drift/population.ts";
import { assertClose } from "../../support/close.ts";
import { seededRandom } from "../../support/random.ts";
import { madeLife } from "./made-life.ts";

const population = POPULATION_BEFORE_DATA;
const noise = noiseOf(population, 0.15 ** 2);
const filter = new LifeFilter();
const search = new EventSearch(population, filter, new LifeSmoother());
const expectation: Expectation = {
  sound: soundPrior(population, true),
  explanations: [
    { kind: -1, weight: 0.7, mean: 0, variance: 0 },
    { kind: 0, weight: 0.3, mean: 4, variance: 2 },
  ],
};

/** Twelve checks a month apart; `also` is added to each reading's noise. */
function life(also: (check: number, band: number) => number): LifeChecks {
  const random = seededRandom(11);
  return madeLife(
    Array.from({ length: 12 }, (_, k) => ({
      year: k / 12,
      readings: [0.2, 0.5, 0.85].map((x, b): [number, number] => [x, 0.15 * random.normal() + also(k, b)]),
    })),
  );
}

function logEvidence(checks: LifeChecks, events: LifeEvents): number {
  filter.run(checks, noise, events);
  return weighExplanations(ownInformation(filter), expectation, 0).logEvidence;
}

const find = (checks: LifeChecks) => search.find(checks, noise, checks.error, expectation).events;

describe("the search for events", () => {
  it("finds nothing in a quiet life", () => {
    assert.deepEqual(find(life(() => 0)), NO_EVENTS);
  });

  it("finds a sudden shift between two checks", () => {
    assert.deepEqual(find(life((k, b) => (k >= 7 ? 0.8 + b : 0))), { stepBefore: [7], dropped: [] });
  });

  it("finds a single reading that stands apart, and does not take it for a shift", () => {
    assert.deepEqual(find(life((k, b) => (k === 4 && b === 1 ? 3 : 0))), { stepBefore: [], dropped: [13] });
  });

  it("finds both, and strays of several checks at once", () => {
    const events = find(
      life((k, b) => (k >= 9 ? -1.5 : 0) + (k === 2 && b === 0 ? 4 : 0) + (k === 5 && b === 2 ? -4 : 0)),
    );
    assert.deepEqual(events, { stepBefore: [9], dropped: [6, 17] });
  });

  it("gives a shift the odds that filtering once more with it comes to", () => {
    const checks = life((k) => (k >= 7 ? 0.5 : 0));
    const candidates = search.candidates(checks, noise, NO_EVENTS, checks.error, expectation);
    const step = candidates.find((candidate) => candidate.step === 7)!;
    const ratio = logEvidence(checks, { stepBefore: [7], dropped: [] }) - logEvidence(checks, NO_EVENTS);
    // Explanations below two hundredths of the weight take no part in the search: that is the difference.
    assertClose(Math.log(step.odds), Math.log(population.stepsPerYear / 12) + ratio, 0.03);
  });

  it("gives a stray reading the odds that filtering it with the strays' variance comes to", () => {
    const checks = life((k, b) => (k === 4 && b === 1 ? 0.8 : 0));
    const candidates = search.candidates(checks, noise, NO_EVENTS, checks.error, expectation);
    const stray = candidates.find((candidate) => candidate.stray === 13)!;
    const before = logEvidence(checks, NO_EVENTS);
    checks.varianceFactor[13] = 1 + population.strayVariance / noise.repeatability;
    const ratio = logEvidence(checks, NO_EVENTS) - before;
    const prior = Math.log(population.strayShare / (1 - population.strayShare));
    assertClose(Math.log(stray.odds), prior + ratio, 0.03);
  });
});
