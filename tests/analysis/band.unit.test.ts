import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { BAND_NAMES, bandOf, JUDGING_TORQUES } from "../../analysis/band.ts";

describe("bandOf", () => {
  const edges = [
    [9.999, null],
    [10, "low"],
    [29.999, "low"],
    [30, "medium"],
    [69.999, "medium"],
    [70, "high"],
    [100, "high"],
    [100.001, null],
    [-20, null],
    [Number.NaN, null],
  ] as const;
  for (const [torque, band] of edges) {
    it(`puts ${torque} % into ${band ?? "no band"}`, () => assert.equal(bandOf(torque), band));
  }

  it("judges each band inside itself", () => {
    for (const band of BAND_NAMES) assert.equal(bandOf(JUDGING_TORQUES[band]), band);
  });
});
