import { describe, it } from "vitest";
import { longestCheckGap } from "../../../analysis/check-frequency.ts";
import { dispersionAllowance } from "../../../analysis/control-charts/dispersion.ts";
import { ewmaChart } from "../../../analysis/control-charts/ewma.ts";
import { discoveries } from "../../../analysis/control-charts/false-discovery.ts";
import { fitIndividualsBaseline } from "../../../analysis/control-charts/individuals.ts";
import { ewmaRunLength } from "../../../analysis/control-charts/run-length.ts";
import { PARAMETERS, RATE } from "../../../analysis/drift/components.ts";
import { groupEffects, SharedSystem } from "../../../analysis/drift/effect-blocks.ts";
import { simulateForward } from "../../../analysis/drift/forward-paths.ts";
import { JointColumns } from "../../../analysis/drift/joint-columns.ts";
import { LifeFilter, NO_EVENTS } from "../../../analysis/drift/life-filter.ts";
import { stateAtLastCheck } from "../../../analysis/drift/present-state.ts";
import { effectInformation, jointInformation } from "../../../analysis/drift/shared-causes.ts";
import { fullScaleRangeMPaS } from "../../../analysis/geometry.ts";
import { checkQuantities } from "../../../analysis/linearity/check-quantities.ts";
import { fitStraightLine } from "../../../analysis/linearity/straight-line.ts";
import { crossedBetween } from "../../../analysis/planning/bridge.ts";
import { intervalFor } from "../../../analysis/planning/reliability-fit.ts";
import { solveBookings } from "../../../analysis/planning/solve-bookings.ts";
import { loadSolver } from "../../../analysis/planning/solver.ts";
import { brierScore, wilsonInterval } from "../../../analysis/scores.ts";
import { neighbourScatter } from "../../../analysis/site-scatter.ts";
import { fluidValueAt } from "../../../analysis/temperature.ts";
import { DEFAULT_TOLERANCE_RULE, judgeReading } from "../../../analysis/tolerance.ts";
import { CHECK_VALUES, type CheckName } from "../../../dashboard/how/check-values.ts";
import { madeLife, madeNoise, madePrior } from "../../analysis/drift/made-life.ts";
import { WORKED_PLAN } from "../../analysis/planning/worked-plan.ts";
import { againstSource, referenceData } from "../../support/reference-table.ts";

type Numbers = Record<string, number>;

/** The nine numbers of a life, all known but the zero error, which drifts by one a year. */
function drifting() {
  const state = { mean: new Float64Array(PARAMETERS), covariance: new Float64Array(PARAMETERS ** 2) };
  for (let p = 0; p < PARAMETERS; p++) state.covariance[p * PARAMETERS + p] = 1e-18;
  state.mean[RATE] = 1;
  return state;
}

const nile = referenceData<{ data: { flow: number[]; fixedLevel: { H: number; Q: number } } }>(
  "state-space-nile",
).data;
const linearity = referenceData<{
  data: { reference: number[]; bias: number[]; repeats: number };
  expected: { published: Numbers };
}>("linearity-aiag");
const flow = referenceData<{ data: { x: number[] }; expected: { exactD2: Numbers } }>("imr-nist");
const ewma = referenceData<{
  data: { x: number[]; lambda: number; ewma0: number; sigma: number; L: number };
  expected: { published: { UCL: number } };
}>("ewma-nist");
const table = referenceData<{ data: { p: number[]; q: number }; expected: { rejectedBH: number } }>(
  "benjamini-hochberg",
);
const scoring = referenceData<{
  data: { forecast: number[]; outcome: number[] };
  expected: { brier: number };
}>("scoring");

const PENICILLIN = referenceData<{
  data: { plate: string[]; sample: string[]; diameter: number[] };
  expected: Record<"varPlate" | "varSample" | "varResidual", number> & {
    samples: string[];
    blupSample: number[];
  };
}>("mixed-penicillin");

/** The effect of sample A: plates as lives, samples as shared causes, the mean as one of which nothing is known. */
function penicillinSample(): number {
  const { data, expected } = PENICILLIN;
  const joined = new JointColumns();
  const prior = madePrior({ 0: [0, expected.varPlate] });
  const lives = [...new Set(data.plate)].map((plate) => {
    const rows = data.plate.flatMap((name, i) => (name === plate ? [i] : []));
    const life = madeLife(
      rows.map((i) => ({
        year: 0,
        readings: [[1, data.diameter[i]!]] as [number, number][],
        effects: [
          [0, 1],
          [1 + expected.samples.indexOf(data.sample[i]!), 1],
        ] as [number, number][],
      })),
    );
    joined.run(life, madeNoise({ repeatability: expected.varResidual }), NO_EVENTS);
    return jointInformation(joined, life.effects);
  });
  const sound = [{ kind: -1, weight: 1, mean: 0, variance: 0 }];
  const system = new SharedSystem(
    1 + expected.samples.length,
    groupEffects(lives.map(({ effects }) => ({ group: "all", effects }))),
  );
  for (const joint of lives) system.add("all", effectInformation(joint, prior, sound));
  return system.solve([1e8, ...expected.samples.map(() => expected.varSample)]).value[1]!;
}

/** By check value: what the analysis gives, and what the data set beside the tests says. */
const WORKED: Readonly<Record<CheckName, { got: () => number | Promise<number>; said?: number }>> = {
  tolerance: {
    got: () =>
      judgeReading(
        { readingMPaS: 99.5, certifiedMPaS: 97.7, fullScaleRangeMPaS: 211.9 },
        { ...DEFAULT_TOLERANCE_RULE, accessoryPercent: 0 },
      ).errorOverTolerance,
  },
  torque: {
    got: () =>
      judgeReading({ readingMPaS: 100, certifiedMPaS: 100, fullScaleRangeMPaS: 200 }, DEFAULT_TOLERANCE_RULE)
        .torquePercent,
  },
  range: {
    got: () =>
      fullScaleRangeMPaS(
        { bobRadiusMm: 12.5, cupRadiusMm: 12.5 * 1.0847, bobLengthMm: 37.5, endFactor: 1.1 },
        900,
        60,
      ),
  },
  temperature: { got: () => fluidValueAt(500, 0.2, -2)! },
  firstPassage: {
    got: () => {
      const model = {
        bands: { torque: [0], tolerance: [1.5] },
        wander: [0.25, 0, 0, 0],
        stepsPerYear: 0,
        stepZero: 0,
        stepSpan: 0,
      };
      const times = Float64Array.from({ length: 13 }, (_, i) => i / 12);
      return simulateForward(drifting(), model, times, 20_000, 1).outBy[12]!;
    },
  },
  filter: {
    got: () => {
      const life = madeLife(nile.flow.map((value, year) => ({ year, readings: [[0, value]] })));
      const filter = new LifeFilter();
      filter.run(
        life,
        madeNoise({ repeatability: nile.fixedLevel.H, wander: [nile.fixedLevel.Q, 0, 0, 0] }),
        NO_EVENTS,
      );
      const none = { precision: new Float64Array(0), pull: new Float64Array(0) };
      return stateAtLastCheck(filter, 99, madePrior({ 0: [0, 1e12] }), none).mean[0]!;
    },
  },
  crossing: { got: () => crossedBetween(1.5, 0.6, 1.2, 0.25, 1) },
  slope: {
    got: () =>
      fitStraightLine(
        linearity.data.reference.flatMap((value) => Array<number>(linearity.data.repeats).fill(value)),
        linearity.data.bias,
      ).slope,
    said: linearity.expected.published.slope!,
  },
  bend: {
    got: () =>
      checkQuantities([20, 50, 85], [0.1, 0.05, 0.62], { repeatability: 0.1, sharedProportional: 0.35 })
        .nonlinearity!.departure,
  },
  individuals: {
    got: () => fitIndividualsBaseline(flow.data.x.map((value, day) => ({ day, value }))).upper,
    said: flow.expected.exactD2.UCL!,
  },
  ewma: {
    got: () => {
      const { x, lambda: weight, ewma0: centre, sigma, L: limitSigma } = ewma.data;
      return ewmaChart(x, { centre, sigma, weight, limitSigma, limits: "asymptotic" })[0]!.upper;
    },
    said: ewma.expected.published.UCL,
  },
  runLength: { got: () => ewmaRunLength({ weight: 0.2, limitSigma: 2.962 }) },
  discoveries: { got: () => discoveries(table.data.p, table.data.q).length, said: table.expected.rejectedBH },
  dispersion: { got: () => dispersionAllowance(1.5) },
  lots: { got: penicillinSample, said: PENICILLIN.expected.blupSample[0]! },
  brier: {
    got: () => brierScore(scoring.data.forecast, scoring.data.outcome.map(Boolean)),
    said: scoring.expected.brier,
  },
  wilson: { got: () => wilsonInterval(6, 80).lower },
  lateAfter: { got: () => longestCheckGap("daily")! },
  neighbours: { got: () => neighbourScatter([2, -1, 2])! },
  interval: {
    got: () =>
      intervalFor({ model: "exponential", scale: 10, shape: 1 } as Parameters<typeof intervalFor>[0], 0.95),
  },
  plan: { got: async () => solveBookings(await loadSolver(), WORKED_PLAN).cost },
};

describe("the check values that the page shows", () => {
  for (const [name, { got, said }] of Object.entries(WORKED) as [CheckName, (typeof WORKED)[CheckName]][]) {
    const { expected, decimals, given } = CHECK_VALUES[name];
    // Half a unit of the last place shown; 20,000 simulated ways are good to three standard errors.
    const allowed =
      name === "firstPassage" ? 3 * Math.sqrt((expected * (1 - expected)) / 20_000) : 0.51 * 10 ** -decimals;

    it(`${name}: ${given}`, async () => {
      againstSource(`shown: ${name}`, "page How it is figured", expected, await got(), { absolute: allowed });
      if (said !== undefined)
        againstSource(`shown: ${name}, data set`, "page How it is figured", expected, said, {
          absolute: 0.51 * 10 ** -decimals,
        });
    });
  }
});
