import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { judgeBath } from "../../../analysis/fluids/judge-bath.ts";

describe("judgeBath", () => {
  const judge = (kelvin: number, kelvinSd: number) => judgeBath({ kelvin, kelvinSd }, 0.2);
  it("judges by the probability to be further off than allowed, either way", () => {
    assert.equal(judge(0.05, 0.03), "sound");
    // Normal tail: 0.2 is 0.5 standard deviations away, 31 %.
    assert.equal(judge(-0.18, 0.04), "doubtful");
    // One standard deviation beyond: 84 %.
    assert.equal(judge(-0.24, 0.04), "unsound");
  });
  it("does not judge what is hardly known, unless it is surely off", () => {
    assert.equal(judge(0, 0.3), "unjudged");
    assert.equal(judge(1.2, 0.3), "unsound");
  });
});
