import assert from "node:assert/strict";
import { describe, it } from "vitest";
import {
  beyondThreeSigma,
  eightBeyondOneSigma,
  fifteenWithinOneSigma,
  fourOfFiveBeyondOneSigma,
  fourteenAlternating,
  nineOnOneSide,
  type RunRule,
  sixRisingOrFalling,
  twoOfThreeBeyondTwoSigma,
} from "../../../analysis/control-charts/run-rules.ts";
import { seededRandom } from "../../support/random.ts";
import { againstSource } from "../../support/reference-table.ts";

const times = (n: number, value: number) => new Array<number>(n).fill(value);
const zigzag = (n: number) => Array.from({ length: n }, (_, i) => (i % 2 === 0 ? 0.5 : -0.5));
const rising = (n: number) => Array.from({ length: n }, (_, i) => i / 10);

/** Rule, what is shown, values, where it is met. */
const EDGES: readonly (readonly [RunRule, string, readonly number[], readonly number[]])[] = [
  [beyondThreeSigma, "on the limit is not beyond it", [3, -3], []],
  [beyondThreeSigma, "beyond either limit", [0, 3.01, -3.01], [1, 2]],
  [nineOnOneSide, "eight are too few", times(8, 0.1), []],
  [nineOnOneSide, "the ninth and every further one", times(10, -0.1), [8, 9]],
  [nineOnOneSide, "a value on the centre line ends the run", [...times(8, 1), 0, 1], []],
  [nineOnOneSide, "a change of side ends the run", [...times(8, 1), -1, ...times(8, 1)], []],
  [sixRisingOrFalling, "five are too few", rising(5), []],
  [sixRisingOrFalling, "six rising", rising(6), [5]],
  [sixRisingOrFalling, "six falling", rising(6).reverse(), [5]],
  [sixRisingOrFalling, "an equal neighbour ends the run", [0, 0.1, 0.2, 0.2, 0.3, 0.4], []],
  [fourteenAlternating, "thirteen are too few", zigzag(13), []],
  [fourteenAlternating, "fourteen, beginning either way", zigzag(14), [13]],
  [fourteenAlternating, "fourteen, turned over", zigzag(14).map((z) => -z), [13]],
  [fourteenAlternating, "an equal neighbour ends the run", [...zigzag(7), 0.5, ...zigzag(7)], []],
  [twoOfThreeBeyondTwoSigma, "on the edge is not beyond it", [2, 2, 2], []],
  [twoOfThreeBeyondTwoSigma, "two neighbours", [2.1, 2.1], [1]],
  [twoOfThreeBeyondTwoSigma, "first and third", [2.1, 0, 2.1], [2]],
  [twoOfThreeBeyondTwoSigma, "not on both sides", [2.1, 0, -2.1], []],
  [twoOfThreeBeyondTwoSigma, "the current one must be beyond", [2.1, 2.1, 0], [1]],
  [twoOfThreeBeyondTwoSigma, "too far apart", [2.1, 0, 0, 2.1], []],
  [fourOfFiveBeyondOneSigma, "four of five", [1.1, 1.1, 0, 1.1, 1.1], [4]],
  [fourOfFiveBeyondOneSigma, "three are too few", [1.1, 0, 0, 1.1, 1.1], []],
  [fourOfFiveBeyondOneSigma, "four in a row at the start", times(4, -1.1), [3]],
  [fourOfFiveBeyondOneSigma, "on the edge is not beyond it", times(5, 1), []],
  [fifteenWithinOneSigma, "fourteen are too few", times(14, 0.5), []],
  [fifteenWithinOneSigma, "fifteen, on either side", [...zigzag(14), 0], [14]],
  [fifteenWithinOneSigma, "on the edge is not within", [...times(14, 0.5), 1], []],
  [eightBeyondOneSigma, "seven are too few", times(7, 1.5), []],
  [eightBeyondOneSigma, "eight, on either side", [1.5, -1.5, 1.5, -1.5, 1.5, -1.5, 1.5, -1.5], [7]],
  [eightBeyondOneSigma, "one within ends the run", [...times(7, 1.5), 0.9, 1.5], []],
  [nineOnOneSide, "a gap ends the run", [...times(8, 1), Number.NaN, ...times(8, 1)], []],
  [fifteenWithinOneSigma, "a gap ends the run", [...times(14, 0), Number.NaN, 0], []],
];

describe("run rules, edge by edge", () => {
  for (const [rule, what, values, expected] of EDGES) {
    it(`${rule.name}: ${what}`, () => assert.deepEqual(rule(values), expected));
  }

  const all = [...new Set(EDGES.map(([rule]) => rule))];
  for (const rule of all) {
    it(`${rule.name}: nothing in a constant series on the centre line of fourteen, nor in none`, () => {
      assert.deepEqual(rule(times(14, 0)), []);
      assert.deepEqual(rule([]), []);
    });
  }
});

describe("run rules together", () => {
  /** Values up to the first time that one of the rules is met, by simulation. */
  function runLength(rules: readonly RunRule[], runs: number): number {
    const random = seededRandom(3);
    let total = 0;
    for (let run = 0; run < runs; run++) {
      const z = Array.from({ length: 700 }, () => random.normal());
      total += 1 + Math.min(699, ...rules.flatMap((rule) => rule(z).slice(0, 1)));
    }
    return total / runs;
  }

  it("alarm as often as Markov chains say", () => {
    // 600 runs whose length scatters by its mean: standard error 4 %, three of them 12 %; one in 600 runs is cut short.
    const within = { relative: 0.12 };
    const four = [beyondThreeSigma, nineOnOneSide, twoOfThreeBeyondTwoSigma, fourOfFiveBeyondOneSigma];
    const source = "Champ and Woodall 1987, nine in a row, recomputed";
    againstSource(
      "run length of rules 1, 2, 5, 6 (simulated)",
      source,
      109.049,
      runLength(four, 600),
      within,
    );
  });
});
