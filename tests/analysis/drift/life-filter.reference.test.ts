import { describe, it } from "vitest";
import { normalCdf } from "../../../analysis/distributions/normal.ts";
import { RATE } from "../../../analysis/drift/components.ts";
import { LifeFilter, NO_EVENTS } from "../../../analysis/drift/life-filter.ts";
import { ownInformation, ownPosterior } from "../../../analysis/drift/own-posterior.ts";
import { stateAtLastCheck, type UnitState } from "../../../analysis/drift/present-state.ts";
import { errorAhead, partsAhead } from "../../../analysis/drift/state-ahead.ts";
import { againstSource, referenceData } from "../../support/reference-table.ts";
import { madeLife, madeNoise, madePrior } from "./made-life.ts";

// At torque 0 a reading shows the zero error alone: the filter is then the textbook's.
const NO_EFFECTS = { precision: new Float64Array(0), pull: new Float64Array(0) };
const RATE_OF_ZERO = RATE;
const cell = (state: UnitState, i: number, j: number) => state.covariance[i * 9 + j]!;

describe("the filter against published state-space examples", () => {
  it("the level of the Nile", () => {
    const { data, expected } = referenceData<{
      data: { flow: number[]; fixedLevel: { H: number; Q: number } };
      expected: { level: { logLikDiffuse: number; filteredLevel: number[]; filteredVar: number[] } };
    }>("state-space-nile");
    const { H, Q } = data.fixedLevel;
    const life = madeLife(data.flow.map((flow, year) => ({ year, readings: [[0, flow]] })));
    const noise = madeNoise({ repeatability: H, wander: [Q, 0, 0, 0] });
    const filter = new LifeFilter();
    filter.run(life, noise, NO_EVENTS);
    // A start as vague as doubles allow; the likelihood of the first flow under it is taken out again.
    const vague = 1e12;
    const prior = madePrior({ 0: [0, vague] });
    const { logEvidence } = ownPosterior(ownInformation(filter), prior);
    const ofFirst = -0.5 * (Math.log(2 * Math.PI * (vague + H)) + data.flow[0]! ** 2 / (vague + H));
    const source = "Durbin and Koopman 2012, ch. 2; R 4.2.2";
    againstSource(
      "log-likelihood, local level",
      source,
      expected.level.logLikDiffuse,
      logEvidence - ofFirst,
      {
        absolute: 1e-5,
      },
    );
    const state = stateAtLastCheck(filter, 99, prior, NO_EFFECTS);
    againstSource("last level", source, 798.3702926083573, state.mean[0]!, { relative: 1e-6 });
    againstSource("variance of the last level", source, 4032.15794181, cell(state, 0, 0), { relative: 1e-6 });
  });

  describe("level and rate of a drifting instrument (batch Gaussian formula)", () => {
    const times = [0.1, 0.2, 0.35, 0.5, 0.6];
    const errors = [0.1, 0.35, 0.2, 0.62, 0.55];
    const life = madeLife(times.map((year, i) => ({ year, readings: [[0, errors[i]!]] })));
    const noise = madeNoise({ repeatability: 0.09, wander: [0.05, 0, 0, 0] });
    const prior = madePrior({ 0: [0, 0.04], [RATE_OF_ZERO]: [0.3, 0.25] });
    const filter = new LifeFilter();
    filter.run(life, noise, NO_EVENTS);
    const state = stateAtLastCheck(filter, 0.6, prior, NO_EFFECTS);
    const source = "multivariate normal formula, recomputed";
    const allowed = { absolute: 1e-6 };

    it("level, rate and their covariance", () => {
      againstSource(
        "filtered level, rate, covariance",
        source,
        [0.494162, 0.587192, 0.032174, 0.039052, 0.143478],
        [state.mean[0]!, state.mean[RATE]!, cell(state, 0, 0), cell(state, 0, RATE), cell(state, RATE, RATE)],
        allowed,
      );
    });

    it("log-likelihood", () => {
      const { logEvidence } = ownPosterior(ownInformation(filter), prior);
      againstSource("log-likelihood, level and rate", source, -0.379591, logEvidence, allowed);
    });

    it("forecast at one year, and the chance to be beyond a limit then", () => {
      const model = {
        bands: { torque: [0], tolerance: [1.5] },
        wander: noise.wander,
        stepsPerYear: 0,
        stepZero: 0.64,
        stepSpan: 2.56,
      };
      const [part] = partsAhead([{ weight: 1, state }], errorAhead(model, 0, 0.4));
      const { mean, sd } = part!;
      againstSource("forecast mean and variance", source, [0.729039, 0.106371], [mean, sd * sd], allowed);
      const beyond = (limit: number) => normalCdf((-limit - mean) / sd) + normalCdf((mean - limit) / sd);
      againstSource("chance beyond a limit", source, [0.009043, 0.203044], [beyond(1.5), beyond(1)], allowed);
    });
  });
});
