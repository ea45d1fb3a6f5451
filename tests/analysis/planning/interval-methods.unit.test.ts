import assert from "node:assert/strict";
import { describe, it } from "vitest";
import {
  adviseInterval,
  inUseInterval,
  staircaseFor,
  staircaseInterval,
} from "../../../analysis/planning/interval-methods.ts";
import { againstSource } from "../../support/reference-table.ts";

describe("the staircase", () => {
  it("for 95 % and steps up of a tenth cuts the interval by 0.836", () => {
    const { shorter } = staircaseFor(0.95, 0.1);
    againstSource("step down", "staircase balance by hand", 0.836, shorter, { absolute: 0.0005 });
  });

  it("settles at its target: 19 steps up and one down bring it back", () => {
    const staircase = staircaseFor(0.95);
    const verdicts = [...Array.from({ length: 19 }, () => true), false];
    assert.ok(Math.abs(staircaseInterval(365, verdicts, staircase) - 365) < 1e-9);
  });
});

describe("the in-use interval", () => {
  it("is shorter for whom uses the unit more", () => {
    assert.equal(inUseInterval(2000, 40), 350);
    assert.equal(inUseInterval(2000, 80), 175);
  });
});

describe("adviseInterval", () => {
  it("shortens on the best estimate alone", () => {
    assert.deepEqual(adviseInterval(365, { days: 200, sureDays: 100 }, 730), {
      advice: "shorten",
      days: 200,
    });
  });

  it("lengthens only as far as is sure, by no more than a half, and never beyond the maximum", () => {
    assert.deepEqual(adviseInterval(365, { days: 900, sureDays: 380 }, 730), { advice: "keep", days: 365 });
    assert.deepEqual(adviseInterval(365, { days: 900, sureDays: 450 }, 730), {
      advice: "lengthen",
      days: 450,
    });
    assert.deepEqual(adviseInterval(300, { days: 2000, sureDays: 1500 }, 3000), {
      advice: "lengthen",
      days: 450,
    });
    assert.deepEqual(adviseInterval(300, { days: 2000, sureDays: 1500 }, 400), {
      advice: "lengthen",
      days: 400,
    });
    assert.deepEqual(adviseInterval(365, { days: 2000, sureDays: 1500 }, 366), { advice: "keep", days: 365 });
  });

  it("brings an interval beyond the maximum back to it", () => {
    assert.deepEqual(adviseInterval(700, { days: 2000, sureDays: 1500 }, 366), {
      advice: "shorten",
      days: 366,
    });
  });
});
