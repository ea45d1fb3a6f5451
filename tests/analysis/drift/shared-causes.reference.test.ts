import { describe, it } from "vitest";
import { PARAMETERS, RATE } from "../../../analysis/drift/components.ts";
import { groupEffects, SharedSystem } from "../../../analysis/drift/effect-blocks.ts";
import { JointColumns } from "../../../analysis/drift/joint-columns.ts";
import { NO_EVENTS } from "../../../analysis/drift/life-filter.ts";
import { type OwnPrior, ownPosterior } from "../../../analysis/drift/own-posterior.ts";
import {
  beliefWithout,
  effectInformation,
  informationUnder,
  jointInformation,
} from "../../../analysis/drift/shared-causes.ts";
import { againstSource, referenceData } from "../../support/reference-table.ts";
import { type MadeCheck, madeLife, madeNoise, madePrior } from "./made-life.ts";

/** A fixed effect is a shared one of which nothing is known. */
const FIXED = 1e8;
const SOUND = [{ kind: -1, weight: 1, mean: 0, variance: 0 }];
/** At full torque a reading is the zero error plus all that is shared, one to one. */
const AT_FULL_TORQUE = 1;

/** Solves a mixed model: one life a subject, `fixed` and crossed random effects as shared causes. */
function solveMixedModel(
  subjects: ReadonlyMap<string, readonly MadeCheck[]>,
  prior: OwnPrior,
  residualVariance: number,
  effectVariance: readonly number[],
) {
  const joined = new JointColumns();
  const noise = madeNoise({ repeatability: residualVariance });
  const lives = [...subjects].map(([name, checks]) => {
    const life = madeLife(checks);
    joined.run(life, noise, NO_EVENTS);
    return { name, joint: jointInformation(joined, life.effects) };
  });
  const groups = groupEffects(lives.map(({ joint }) => ({ group: "all", effects: joint.effects })));
  const system = new SharedSystem(effectVariance.length, groups);
  for (const { joint } of lives) system.add("all", effectInformation(joint, prior, SOUND));
  const estimates = system.solve(effectVariance);
  // A subject's own numbers, the shared effects as uncertain as the other subjects leave them.
  const own = lives.map(({ joint }) => {
    const belief = beliefWithout(estimates, "all", joint.effects, effectInformation(joint, prior, SOUND));
    return ownPosterior(informationUnder(joint, belief), prior);
  });
  return { estimates, own };
}

function bySubject(subject: readonly string[], check: (i: number) => MadeCheck): Map<string, MadeCheck[]> {
  const subjects = new Map<string, MadeCheck[]>();
  subject.forEach((name, i) => {
    subjects.set(name, [...(subjects.get(name) ?? []), check(i)]);
  });
  return subjects;
}

describe("shared causes against published mixed models", () => {
  it("crossed effects: penicillin plates and samples", () => {
    const { data, expected } = referenceData<{
      data: { plate: string[]; sample: string[]; diameter: number[] };
      expected: {
        mean: number;
        seMean: number;
        varPlate: number;
        varSample: number;
        varResidual: number;
        blupPlate: number[];
        samples: string[];
        blupSample: number[];
      };
    }>("mixed-penicillin");
    const plates = bySubject(data.plate, (i) => ({
      year: 0,
      readings: [[AT_FULL_TORQUE, data.diameter[i]!]],
      effects: [
        [0, 1],
        [1 + expected.samples.indexOf(data.sample[i]!), 1],
      ],
    }));
    const { varPlate, varSample, varResidual } = expected;
    const { estimates, own } = solveMixedModel(plates, madePrior({ 0: [0, varPlate] }), varResidual, [
      FIXED,
      ...expected.samples.map(() => varSample),
    ]);
    const source = "Davies and Goldsmith 1972; R lme4";
    const [mean, ...samples] = estimates.value;
    againstSource("mean of crossed effects", source, expected.mean, mean!, { relative: 1e-7 });
    againstSource("its standard error", source, expected.seMean, Math.sqrt(estimates.variance(0)), {
      relative: 1e-6,
    });
    againstSource("sample effects", source, expected.blupSample, samples, { absolute: 1e-6 });
    againstSource(
      "plate effects",
      source,
      expected.blupPlate,
      own.map(({ mean: m }) => m[0]!),
      { absolute: 1e-6 },
    );
    // At the estimates of restricted maximum likelihood a step of expectation-maximisation stays where it is.
    const again =
      own.reduce((sum, { mean: m, covariance }) => sum + m[0]! ** 2 + covariance[0]!, 0) / own.length;
    againstSource("variance of plates after one more step", source, varPlate, again, { relative: 1e-6 });
    const samplesAgain =
      samples.reduce((sum, s, k) => sum + s * s + estimates.variance(1 + k), 0) / samples.length;
    againstSource("variance of samples after one more step", source, varSample, samplesAgain, {
      relative: 1e-6,
    });
  });

  it("random intercepts and slopes: sleepstudy", () => {
    const { data, expected } = referenceData<{
      data: { subject: string[]; days: number[]; reaction: number[] };
      expected: { uncorrelated: SlopesExpected; correlated: SlopesExpected };
    }>("mixed-sleepstudy");
    const source = "Belenky et al. 2003; R lme4";
    for (const model of [expected.uncorrelated, expected.correlated]) {
      holdSlopes(source, data.subject, data.days, data.reaction, model);
    }
  });

  it("random intercepts and slopes: Orthodont", () => {
    const { data, expected } = referenceData<{
      data: { subject: string[]; age: number[]; distance: number[]; centre: number };
      expected: SlopesExpected;
    }>("mixed-orthodont");
    const age = data.age.map((years) => years - data.centre);
    holdSlopes("Pinheiro and Bates 2000; R lme4", data.subject, age, data.distance, expected);
  });
});

interface SlopesExpected {
  readonly fixed: readonly [number, number];
  readonly seFixed: readonly [number, number];
  readonly varianceComponents: readonly {
    readonly group: string;
    readonly term1: string;
    readonly term2: string | null;
    readonly vcov: number;
  }[];
}

/**
 * Intercept and slope of a subject are correlated, the model's are not: so time is counted from the moment at which
 * level and slope are uncorrelated.
 */
function holdSlopes(
  source: string,
  subject: readonly string[],
  time: readonly number[],
  response: readonly number[],
  { fixed, seFixed, varianceComponents }: SlopesExpected,
): void {
  const random = varianceComponents.filter(({ group }) => group !== "Residual");
  const residual = varianceComponents.find(({ group }) => group === "Residual")!.vcov;
  const intercept = random.find(({ term1, term2 }) => term1 === "(Intercept)" && term2 === null)!.vcov;
  const slope = random.find(({ term1, term2 }) => term1 !== "(Intercept)" && term2 === null)!.vcov;
  const both = random.find(({ term2 }) => term2 !== null)?.vcov ?? 0;
  const origin = -both / slope;
  // The filter's years never go back: each subject starts at its first occasion.
  const first = Math.min(...time);
  const levelAtFirst = intercept + 2 * both * first + slope * first * first;
  const shift = first - origin;
  const levelAtOrigin = levelAtFirst - slope * shift * shift;
  const subjects = bySubject(subject, (i) => ({
    year: time[i]! - origin,
    readings: [[AT_FULL_TORQUE, response[i]!]],
    effects: [
      [0, 1],
      [1, time[i]!],
    ],
  }));
  const prior = madePrior({ 0: [0, levelAtOrigin], [RATE]: [0, slope] });
  const { estimates, own } = solveMixedModel(subjects, prior, residual, [FIXED, FIXED]);
  againstSource("fixed effects, random slopes", source, fixed, estimates.value, { relative: 1e-6 });
  againstSource(
    "standard errors of fixed effects",
    source,
    seFixed,
    [Math.sqrt(estimates.variance(0)), Math.sqrt(estimates.variance(1))],
    { relative: 1e-5 },
  );
  const again =
    own.reduce(
      (sum, { mean, covariance }) => sum + mean[RATE]! ** 2 + covariance[RATE * PARAMETERS + RATE]!,
      0,
    ) / own.length;
  againstSource("variance of slopes after one more step", source, slope, again, { relative: 1e-4 });
}
