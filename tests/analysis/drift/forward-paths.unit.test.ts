import assert from "node:assert/strict";
import fc from "fast-check";
import { describe, it } from "vitest";
import { PARAMETERS, RATE } from "../../../analysis/drift/components.ts";
import { isFarFromLimits, simulateForward } from "../../../analysis/drift/forward-paths.ts";
import type { UnitState } from "../../../analysis/drift/present-state.ts";
import { assertClose } from "../../support/close.ts";

const bands = { torque: [0.2, 0.5, 0.85], tolerance: [2.2, 2.5, 2.85] };
const still = { bands, wander: [0, 0, 0, 0], stepsPerYear: 0, stepZero: 0.64, stepSpan: 2.56 };
const times = Float64Array.from([0, 0.25, 0.5, 0.75, 1]);

function stateAt(numbers: Readonly<Record<number, number>>, variance = 1e-12): UnitState {
  const state = { mean: new Float64Array(PARAMETERS), covariance: new Float64Array(PARAMETERS ** 2) };
  for (let p = 0; p < PARAMETERS; p++) state.covariance[p * PARAMETERS + p] = variance;
  for (const [p, value] of Object.entries(numbers)) state.mean[Number(p)] = value;
  return state;
}

describe("a unit simulated forward", () => {
  it("that stands still within tolerance never leaves", () => {
    const { outBy, firstBand } = simulateForward(stateAt({}), still, times, 64, 1);
    assert.deepEqual([...outBy], [0, 0, 0, 0, 0]);
    assert.deepEqual([...firstBand], [0, 0, 0]);
  });

  it("that is out is out at once, in the band where it is", () => {
    const { outBy, firstBand } = simulateForward(stateAt({ 1: 5 }), still, times, 64, 1);
    assertClose(outBy[0]!, 1, 1e-12);
    assertClose(firstBand[2]!, 1, 1e-12);
  });

  it("that drifts leaves on its day", () => {
    // Zero moves 4 % a year: past 2.2 % after 0.55 years.
    const { outBy, firstBand } = simulateForward(stateAt({ [RATE]: 4 }), still, times, 64, 1);
    assert.deepEqual([...outBy].map(Math.round), [0, 0, 0, 1, 1]);
    assertClose(firstBand[0]!, 1, 1e-12);
  });

  it("leaves by a step as often as steps are large and frequent enough", () => {
    const { outBy } = simulateForward(stateAt({}), { ...still, stepsPerYear: 0.2 }, times, 20_000, 5);
    const sd = Math.sqrt(0.64 + 0.85 ** 2 * 2.56);
    // In the high band alone |step| > 2.85 has probability 0.056; the other bands add some.
    const atLeast = (1 - Math.exp(-0.2)) * 2 * (1 - 0.97206);
    assert.ok(
      sd > 1.49 && outBy[4]! > atLeast && outBy[4]! < 1.4 * atLeast,
      `${outBy[4]} against ${atLeast}`,
    );
  });

  it("comes to the same for the same seed", () => {
    const run = () =>
      simulateForward(stateAt({ 1: 1.5 }, 0.5), { ...still, stepsPerYear: 0.1 }, times, 100, 42);
    assert.deepEqual(run(), run());
  });

  it("is ever likelier to have left, whatever the state", () => {
    fc.assert(
      fc.property(
        fc.double({ min: -4, max: 4, noNaN: true }),
        fc.double({ min: -8, max: 8, noNaN: true }),
        fc.double({ min: 0, max: 2, noNaN: true }),
        (span, rate, variance) => {
          const state = stateAt({ 1: span, [RATE + 1]: rate }, variance);
          const model = { ...still, wander: [0.01, 0.04, 0.01, 0.01], stepsPerYear: 0.1 };
          const { outBy } = simulateForward(state, model, times, 40, 7);
          for (let g = 1; g < times.length; g++) assert.ok(outBy[g]! >= outBy[g - 1]! - 1e-12);
          assert.ok(outBy[0]! >= 0 && outBy[4]! <= 1 + 1e-9);
        },
      ),
      { seed: 3, numRuns: 60 },
    );
  });
});

describe("far from the limits", () => {
  it("is a state that four and a half standard deviations do not bring there", () => {
    assert.equal(isFarFromLimits(stateAt({}), still, 1), true);
    assert.equal(isFarFromLimits(stateAt({ 1: 2 }), still, 1), true);
    assert.equal(isFarFromLimits(stateAt({ 1: 2 }, 0.5), still, 1), false);
    assert.equal(isFarFromLimits(stateAt({ [RATE + 1]: 3 }), still, 1), true);
    assert.equal(isFarFromLimits(stateAt({ [RATE + 1]: 3 }), still, 2), false);
  });
});
