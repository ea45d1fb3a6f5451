import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { LifeFilter, NO_EVENTS } from "../../../analysis/drift/life-filter.ts";
import { ownInformation, ownPosterior, withOtherPrior } from "../../../analysis/drift/own-posterior.ts";
import { noiseOf, POPULATION_BEFORE_DATA, soundPrior } from "../../../analysis/drift/population.ts";
import { assertClose } from "../../support/close.ts";
import { madeLife } from "./made-life.ts";

const filter = new LifeFilter();
filter.run(
  madeLife([
    {
      year: 0.1,
      readings: [
        [0.2, 0.3],
        [0.8, -0.4],
      ],
    },
    {
      year: 0.6,
      readings: [
        [0.5, 0.9],
        [0.9, 1.4],
      ],
    },
  ]),
  noiseOf(POPULATION_BEFORE_DATA, 0.02),
  NO_EVENTS,
);
const information = ownInformation(filter);
const sound = soundPrior(POPULATION_BEFORE_DATA, true);

describe("the posterior of a life's own numbers", () => {
  for (const parameter of [1, 5, 8]) {
    it(`is the same whether number ${parameter}'s prior is exchanged before or after`, () => {
      const mean = Float64Array.from(sound.mean);
      const variance = Float64Array.from(sound.variance);
      mean[parameter] = 3;
      variance[parameter] = 2.5;
      const direct = ownPosterior(information, { mean, variance });
      const moved = withOtherPrior(ownPosterior(information, sound), sound, parameter, 3, 2.5);
      assertClose(moved.logEvidence, direct.logEvidence, 1e-10);
      direct.mean.forEach((value, i) => {
        assertClose(moved.mean[i]!, value, 1e-10);
      });
      direct.covariance.forEach((value, i) => {
        assertClose(moved.covariance[i]!, value, 1e-10);
      });
    });
  }

  it("says what cannot be solved", () => {
    const variance = Float64Array.from(sound.variance);
    variance[2] = Number.NaN;
    assert.throws(() => ownPosterior(information, { mean: sound.mean, variance }), /cannot be solved/);
  });
});
