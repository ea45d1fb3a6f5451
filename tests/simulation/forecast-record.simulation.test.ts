import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { normalCdf, normalQuantile } from "../../analysis/distributions/normal.ts";
import type { ScoredForecast } from "../../analysis/drift/back-test.ts";
import { type RecordClass, recordClasses } from "../../analysis/drift/record-classes.ts";
import { seededRandom } from "../support/random.ts";

const FORECASTS_A_LIFE = 6;
const LIVES = 400;
const RECORDS = 300;
/** Enough to see a forecaster who is wrong. */
const FEW_RECORDS = 60;

/**
 * Forecasts of lives that a forecaster follows to their ends: each goes out where a random walk ends beyond a limit,
 * and at every step the probability of that is known exactly.
 *
 * @param said What the forecaster makes of the right probability.
 */
function livesForecast(seed: number, said: (right: number) => number): ScoredForecast[] {
  const random = seededRandom(seed);
  const forecasts: ScoredForecast[] = [];
  for (let life = 0; life < LIVES; life++) {
    const limit = normalQuantile(0.55 + 0.44 * random.uniform());
    const right: number[] = [];
    let level = 0;
    for (let step = 0; step < FORECASTS_A_LIFE; step++) {
      const left = 1 - step / FORECASTS_A_LIFE;
      right.push(normalCdf((level - limit) / Math.sqrt(left)));
      level += random.normal() / Math.sqrt(FORECASTS_A_LIFE);
    }
    const wentOut = level > limit;
    for (const [step, p] of right.entries()) {
      forecasts.push({
        instrument: `U${life}`,
        madeOnDay: 60 * step,
        serviceDay: 60 * FORECASTS_A_LIFE,
        p: said(p),
        plain: null,
        wentOut,
        foundOnDay: wentOut ? 60 * FORECASTS_A_LIFE : null,
      });
    }
  }
  return forecasts;
}

function records(said: (right: number) => number, count: number): RecordClass[][] {
  return Array.from({ length: count }, (_, i) => recordClasses(livesForecast(7000 + i, said)));
}

/** Share of records in which some class is called wrong, the 5 % that chance is allowed shared among the classes. */
function calledWrong(all: readonly RecordClass[][]): number {
  const wrong = all.filter((classes) => classes.some(({ chance }) => chance < 0.05 / classes.length));
  return wrong.length / all.length;
}

describe("the record of a forecaster who is right, each life forecast again and again", () => {
  const right = records((p) => p, RECORDS);

  it("is found right: no more records called wrong than chance is allowed", () => {
    // 5 % of 300 records with two standard errors to spare; counts are whole, so that it is mostly fewer.
    const share = calledWrong(right);
    assert.ok(share < 0.075, `${(100 * share).toFixed(1)} % called wrong`);
  });

  it("has in every class as many out as were to be expected", () => {
    for (const [c, { from }] of right[0]!.entries()) {
      const rows = right.map((classes) => classes[c]!);
      assert.ok(rows.every((row) => row.from === from));
      const sum = (of: (row: RecordClass) => number) => rows.reduce((total, row) => total + of(row), 0);
      const expected = sum((row) => row.expected);
      // Four standard errors of a count; within a class units differ little in what they were given.
      const spread = Math.sqrt(sum((row) => row.expected * (1 - row.expected / row.units)));
      const came = sum((row) => row.wentOut);
      assert.ok(Math.abs(came - expected) < 4 * spread, `from ${from}: ${came}, expected ${expected}`);
    }
  });

  it("has the share to be expected within Wilson's interval about as often as that says", () => {
    const rows = right.flat().filter(({ expected, units }) => expected > 5 && units - expected > 5);
    const held = rows.filter(({ lower, upper, expected, units }) => {
      const share = expected / units;
      return lower <= share && share <= upper;
    });
    const share = held.length / rows.length;
    assert.ok(rows.length > 1000);
    assert.ok(share > 0.94 && share < 0.985, `${(100 * share).toFixed(1)} %`);
  });
});

describe("the record of a forecaster who is wrong", () => {
  it("shows one who is too sure, either way", () => {
    const share = calledWrong(records((p) => p ** 3 / (p ** 3 + (1 - p) ** 3), FEW_RECORDS));
    assert.ok(share > 0.95, `${(100 * share).toFixed(1)} % called wrong`);
  });

  it("shows one who says twice the odds", () => {
    const share = calledWrong(records((p) => (2 * p) / (1 + p), FEW_RECORDS));
    assert.ok(share > 0.9, `${(100 * share).toFixed(1)} % called wrong`);
  });
});
