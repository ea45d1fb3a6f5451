import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { tQuantile } from "../../../analysis/distributions/student-t.ts";
import type { Estimate } from "../../../analysis/linearity/estimate.ts";
import { fitLinearity, linearityBand } from "../../../analysis/linearity/pooled.ts";
import { seededRandom } from "../../support/random.ts";

const LINE = { zero: 0.2, span: -0.3 };
const RUNS = 250;

/** Checks of one unit: each with its own proportional error, three bands, one repeatability. */
function simulate(seed: number, checks: number, repeatability: number, sharedProportional: number) {
  const random = seededRandom(seed);
  const rows = Array.from({ length: checks }, (_, check) => {
    const shared = sharedProportional * random.normal();
    return [20, 50, 82].map((start) => {
      const torque = start + 5 * random.uniform();
      const error = LINE.zero + ((LINE.span + shared) * torque) / 100 + repeatability * random.normal();
      return { check, torque, error };
    });
  }).flat();
  return fitLinearity({
    check: rows.map((r) => r.check),
    torque: rows.map((r) => r.torque),
    error: rows.map((r) => r.error),
  });
}

const holds = ({ value, se, df }: Estimate, truth: number) =>
  Math.abs(value - truth) <= tQuantile(0.975, df) * se;

/** Share of runs in which each 95 % interval held the truth. */
function coverage(checks: number, repeatability: number, sharedProportional: number) {
  const torques = [15, 30, 45, 60, 75, 90];
  const held = { zero: 0, span: 0, nonlinearity: 0, point: 0, line: 0 };
  for (let run = 0; run < RUNS; run++) {
    const fit = simulate(1000 * checks + run, checks, repeatability, sharedProportional);
    const inside = (kind: "pointwise" | "simultaneous", at: number[]) => {
      const band = linearityBand(fit, at, kind);
      return at.every((torque, i) => {
        const truth = LINE.zero + (LINE.span * torque) / 100;
        return truth >= band.lower[i]! && truth <= band.upper[i]!;
      });
    };
    held.zero += Number(holds(fit.zero, LINE.zero));
    held.span += Number(holds(fit.span, LINE.span));
    held.nonlinearity += Number(holds(fit.nonlinearity!, 0));
    held.point += Number(inside("pointwise", [50]));
    held.line += Number(inside("simultaneous", torques));
  }
  return Object.entries(held).map(([what, count]) => ({ what, share: count / RUNS }));
}

describe("95 % intervals of the pooled regression, by simulation", () => {
  // 250 runs at 95 %: standard error 1.4 %; three of them make 4.1 %.
  const LOWEST = 0.95 - 0.041;

  for (const checks of [3, 12]) {
    it(`hold the truth over ${checks} checks with the usual noise`, () => {
      for (const { what, share } of coverage(checks, 0.1, 0.35)) {
        assert.ok(share >= LOWEST, `${what} held in ${share}`);
      }
    });
  }

  it("hold it over twelve checks with three times the usual scatter", () => {
    // Noise that is not what was presumed: the price is a few per cent.
    for (const { what, share } of coverage(12, 0.3, 1))
      assert.ok(share >= LOWEST - 0.03, `${what} held in ${share}`);
  });
});
