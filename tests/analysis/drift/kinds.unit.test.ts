import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { PARAMETERS } from "../../../analysis/drift/components.ts";
import {
  expectLife,
  explainLife,
  type RateEvidence,
  rateEvidence,
  weighKinds,
} from "../../../analysis/drift/kinds.ts";
import type { OwnPosterior } from "../../../analysis/drift/own-posterior.ts";
import {
  KIND_PARAMETER,
  KINDS,
  POPULATION_BEFORE_DATA,
  soundPrior,
} from "../../../analysis/drift/population.ts";
import { assertClose } from "../../support/close.ts";

const population = POPULATION_BEFORE_DATA;
const sound = soundPrior(population, true);

/** A life whose readings tell one kind's number with a standard deviation, and nothing else. */
function tells(kind: (typeof KINDS)[number], value: number, sd: number): RateEvidence {
  const p = KIND_PARAMETER[KINDS.indexOf(kind)]!;
  const covariance = new Float64Array(PARAMETERS ** 2);
  sound.variance.forEach((variance, i) => {
    covariance[i * PARAMETERS + i] = variance;
  });
  const precision = 1 / sd ** 2 + 1 / sound.variance[p]!;
  const mean = Float64Array.from(sound.mean);
  mean[p] = (value / sd ** 2 + sound.mean[p]! / sound.variance[p]!) / precision;
  covariance[p * PARAMETERS + p] = 1 / precision;
  const posterior: OwnPosterior = { mean, covariance, logEvidence: 0 };
  return rateEvidence(population, posterior, sound);
}

const weightOf = (explanations: ReturnType<typeof expectLife>, kind: string, sign: number) =>
  explanations
    .filter((e) => KINDS[e.kind] === kind && Math.sign(e.mean) === sign)
    .reduce((sum, e) => sum + e.weight, 0);
const soundWeight = (explanations: ReturnType<typeof expectLife>) =>
  explanations.find((e) => e.kind < 0)!.weight;

describe("what is expected of a life", () => {
  it("without earlier lives is the fleet's shares", () => {
    const expected = expectLife(population, [], sound);
    const drifting = population.kindShare.reduce((a, b) => a + b, 0) * population.activeShare;
    assertClose(soundWeight(expected), 1 - drifting, 1e-12);
    assertClose(
      weightOf(expected, "span", 1),
      (population.kindShare[0]! * population.activeShare) / 2,
      1e-12,
    );
  });

  it("after two lives that drifted up in span is that it does so again, unless it was cured", () => {
    const expected = expectLife(population, [tells("span", 4, 0.5), tells("span", 5, 0.5)], sound);
    assertClose(weightOf(expected, "span", 1), population.activeShare, 0.01);
    assert.ok(weightOf(expected, "span", -1) < 0.001);
    const rate = expected.find((e) => KINDS[e.kind] === "span" && e.mean > 0)!;
    assert.ok(rate.mean > 3.5 && rate.mean < 5.5, `expects ${rate.mean}`);
  });

  it("after quiet lives is that it is sound", () => {
    const quiet = tells("span", 0.1, 0.2);
    assert.ok(weightOf(expectLife(population, [quiet, quiet, quiet], sound), "span", 1) < 0.002);
  });

  it("friction is never expected to fall", () => {
    const expected = expectLife(population, [tells("friction", -12, 1)], sound);
    assert.equal(weightOf(expected, "friction", -1), 0);
  });
});

describe("the explanations of a life by all lives", () => {
  const life = tells("zero", -2.4, 0.6);
  const explanations = explainLife(population, weighKinds(population, [life]), life);

  it("add to 1", () => {
    assertClose(
      explanations.reduce((sum, e) => sum + e.weight, 0),
      1,
      1e-9,
    );
  });

  it("put the drift where the readings show it", () => {
    assert.ok(weightOf(explanations, "zero", -1) > 0.8);
  });

  it("state a prior that gives the mixture's mean once the readings are combined with it", () => {
    const { mean, variance } = explanations.find((e) => KINDS[e.kind] === "zero" && e.mean < 0)!;
    const combined = (mean / variance + -2.4 / 0.36) / (1 / variance + 1 / 0.36);
    // Drifting units of this kind have rates near 2.5: the readings agree, so little is moved.
    assert.ok(combined < -2 && combined > -2.8, `combined ${combined}`);
  });
});
