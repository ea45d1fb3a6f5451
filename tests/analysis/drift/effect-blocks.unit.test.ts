import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { EffectEstimates, groupEffects, SharedSystem } from "../../../analysis/drift/effect-blocks.ts";
import type { EffectInformation } from "../../../analysis/drift/shared-causes.ts";
import { assertClose } from "../../support/close.ts";
import { seededRandom } from "../../support/random.ts";
import { denseInverse } from "./dense.ts";

const EFFECTS = 9;
const VARIANCE = [0.1, 0.2, 0.3, 0.1, 0.5, 0.4, 0.2, 0.3, 0.25];

/** Lives at three sites; effects 6 and 7 are met at more than one, effect 8 nowhere. */
const LIVES: readonly { readonly group: string; readonly effects: readonly number[] }[] = [
  { group: "north", effects: [0, 1, 6] },
  { group: "north", effects: [1, 2, 7] },
  { group: "south", effects: [3, 6, 7] },
  { group: "south", effects: [3, 4] },
  { group: "west", effects: [5, 7] },
];

function informationOf(effects: readonly number[], seed: number): EffectInformation {
  const random = seededRandom(seed);
  const k = effects.length;
  const root = Array.from({ length: k }, () => Array.from({ length: k + 2 }, () => random.normal()));
  const matrix = root.flatMap((a) => root.map((b) => a.reduce((sum, x, i) => sum + x * b[i]!, 0)));
  return {
    effects: Int32Array.from(effects),
    matrix: Float64Array.from(matrix),
    vector: Float64Array.from(effects, () => random.normal()),
  };
}

function solved(): { estimates: EffectEstimates; inverse: number[][]; value: number[] } {
  const system = new SharedSystem(EFFECTS, groupEffects(LIVES));
  const dense = Array.from({ length: EFFECTS }, (_, i) =>
    Array.from({ length: EFFECTS }, (_, j) => (i === j ? 1 / VARIANCE[i]! : 0)),
  );
  const right = new Array<number>(EFFECTS).fill(0);
  LIVES.forEach(({ group, effects }, seed) => {
    const information = informationOf(effects, seed + 1);
    system.add(group, information);
    effects.forEach((a, i) => {
      right[a]! += information.vector[i]!;
      effects.forEach((b, j) => {
        dense[a]![b]! += information.matrix[i * effects.length + j]!;
      });
    });
  });
  const inverse = denseInverse(dense);
  return {
    estimates: system.solve(VARIANCE),
    inverse,
    value: inverse.map((row) => row.reduce((sum, x, j) => sum + x * right[j]!, 0)),
  };
}

describe("shared effects solved for site by site", () => {
  it("are those of the dense equations", () => {
    const { estimates, value } = solved();
    value.forEach((expected, effect) => {
      assertClose(estimates.value[effect]!, expected, 1e-12);
    });
  });

  it("have the dense equations' covariance within a site", () => {
    const { estimates, inverse } = solved();
    for (const [group, effects] of [
      ["north", [0, 1, 2, 6, 7]],
      ["south", [7, 3, 4, 6]],
      ["west", [5, 7]],
    ] as const) {
      const covariance = estimates.covariance(effects, group);
      effects.forEach((a, i) => {
        effects.forEach((b, j) => {
          assertClose(covariance[i * effects.length + j]!, inverse[a]![b]!, 1e-12);
        });
      });
    }
  });

  it("keep their prior variance where no check was made with them", () => {
    const { estimates } = solved();
    assert.equal(estimates.value[8], 0);
    assertClose(estimates.variance(8), 0.25, 1e-15);
  });

  it("of another site count as independent", () => {
    const { estimates, inverse } = solved();
    const covariance = estimates.covariance([0, 5], "north");
    assertClose(covariance[3]!, inverse[5]![5]!, 1e-12);
    assert.equal(covariance[1], 0);
  });

  it("need variances above 0", () => {
    const system = new SharedSystem(1, groupEffects([{ group: "north", effects: [0] }]));
    assert.throws(() => system.solve([-1]), /prior variance/);
  });

  it("can be asked of estimates without any block", () => {
    assert.equal(new EffectEstimates(new Float64Array(1), [], [0.3]).variance(0), 0.3);
  });
});
