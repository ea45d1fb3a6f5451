import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { groupEffects, SharedSystem } from "../../../analysis/drift/effect-blocks.ts";
import { JointColumns } from "../../../analysis/drift/joint-columns.ts";
import type { LifeChecks } from "../../../analysis/drift/life-checks.ts";
import { LifeFilter, NO_EVENTS } from "../../../analysis/drift/life-filter.ts";
import { ownInformation, ownPosterior } from "../../../analysis/drift/own-posterior.ts";
import { noiseOf, POPULATION_BEFORE_DATA, soundPrior } from "../../../analysis/drift/population.ts";
import {
  beliefWithout,
  effectInformation,
  informationGiven,
  informationUnder,
  jointInformation,
} from "../../../analysis/drift/shared-causes.ts";
import { assertClose } from "../../support/close.ts";
import { seededRandom } from "../../support/random.ts";
import { madeLife } from "./made-life.ts";

const noise = noiseOf(POPULATION_BEFORE_DATA, 0.02);
const sound = soundPrior(POPULATION_BEFORE_DATA, true);
const SOUND = [{ kind: -1, weight: 1, mean: 0, variance: 0 }];
const VARIANCE = [0.09, 0.16];
const filter = new LifeFilter();
const joined = new JointColumns();

/** Half the life with lot 0, half with lot 1. */
function life(seed: number): LifeChecks {
  const random = seededRandom(seed);
  return madeLife(
    Array.from({ length: 6 }, (_, k) => ({
      year: k / 6,
      readings: [0.3, 0.8].map((x): [number, number] => [x, 0.4 * random.normal()]),
      effects: [[k < 3 ? 0 : 1, 1]],
    })),
  );
}

function joint(checks: LifeChecks) {
  joined.run(checks, noise, NO_EVENTS);
  return jointInformation(joined, checks.effects);
}

function estimatesFrom(lives: readonly LifeChecks[]) {
  const system = new SharedSystem(2, groupEffects([{ group: "", effects: [0, 1] }]));
  for (const checks of lives) system.add("", effectInformation(joint(checks), sound, SOUND));
  return system.solve(VARIANCE);
}

describe("shared causes of one life", () => {
  it("given: as if they had been taken from the readings", () => {
    const checks = life(3);
    const value = [0.7, -0.4];
    const given = ownPosterior(informationGiven(joint(checks), value), sound);
    const error = checks.error.map((e, r) => e - checks.span[r]! * (r < 6 ? 0.7 : -0.4));
    filter.run(checks, noise, NO_EVENTS, error);
    const direct = ownPosterior(ownInformation(filter), sound);
    assertClose(given.logEvidence, direct.logEvidence, 1e-10);
    assertClose(given.mean[5]!, direct.mean[5]!, 1e-10);
  });

  it("in doubt: a lot known to be right is as good as none", () => {
    const checks = life(5);
    const certain = { precision: Float64Array.from([1e12, 0, 0, 1e12]), pull: new Float64Array(2) };
    const under = ownPosterior(informationUnder(joint(checks), certain), sound);
    const given = ownPosterior(informationGiven(joint(checks), [0, 0]), sound);
    assertClose(under.mean[1]!, given.mean[1]!, 1e-8);
    assertClose(under.logEvidence, given.logEvidence, 1e-8);
  });

  it("a life's own part can be taken out of the estimates again", () => {
    const lives = [life(1), life(2), life(3)];
    const own = effectInformation(joint(lives[2]!), sound, SOUND);
    const effects = Int32Array.from([0, 1]);
    const without = beliefWithout(estimatesFrom(lives), "", effects, own);
    const others = beliefWithout(estimatesFrom(lives.slice(0, 2)), "", effects, null);
    without.precision.forEach((p, i) => {
      assertClose(p, others.precision[i]!, 1e-9);
    });
    without.pull.forEach((p, i) => {
      assertClose(p, others.pull[i]!, 1e-9);
    });
  });

  it("more than was ever put in cannot be taken out", () => {
    const effects = Int32Array.from([0, 1]);
    const { matrix, vector } = effectInformation(joint(life(1)), sound, SOUND);
    const tooMuch = { effects, matrix: matrix.map((m) => 50 * m), vector };
    const { precision } = beliefWithout(estimatesFrom([life(1)]), "", effects, tooMuch);
    assert.ok(precision[0]! > 0 && precision[0]! * precision[3]! > precision[1]! ** 2);
  });

  it("explanations of a life add up by their weights", () => {
    const one = joint(life(7));
    const drifting = { kind: 0, weight: 1, mean: 4, variance: 2 };
    const pure = [effectInformation(one, sound, SOUND), effectInformation(one, sound, [drifting])];
    const mixed = effectInformation(one, sound, [
      { ...SOUND[0]!, weight: 0.3 },
      { ...drifting, weight: 0.7 },
    ]);
    mixed.matrix.forEach((m, i) => {
      assertClose(m, 0.3 * pure[0]!.matrix[i]! + 0.7 * pure[1]!.matrix[i]!, 1e-10);
    });
    mixed.vector.forEach((v, i) => {
      assertClose(v, 0.3 * pure[0]!.vector[i]! + 0.7 * pure[1]!.vector[i]!, 1e-10);
    });
  });
});
