import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { outliersOf } from "../../../ingest/readings/outliers.ts";

/** A check at the usual torques. Units: % of full scale. */
const check = (errors: readonly number[], torques = [20, 50, 85]) =>
  outliersOf(errors.map((error, i) => ({ torque: torques[i]!, error })));

describe("outliersOf", () => {
  it("finds the one reading that a typing error set apart, in any band", () => {
    assert.deepEqual(check([0.1, 6, -0.1]), [1]);
    assert.deepEqual(check([0.2, 0.1, -5.5]), [2]);
    assert.deepEqual(check([4.5, 0.1, 0.2]), [0]);
  });

  it("leaves a unit alone that is off everywhere", () => {
    assert.deepEqual(check([5, 5.2, 4.9]), []);
  });

  it("leaves a span error alone, however large", () => {
    assert.deepEqual(check([-1.6, -4, -6.8]), []);
    assert.deepEqual(check([2.4, 6.1, 10]), []);
  });

  it("leaves a curved spring alone", () => {
    const curved = [20, 50, 85].map((x) => 2 * 4 * ((x / 100) ** 2 - x / 100));
    assert.deepEqual(check(curved), []);
  });

  it("leaves to friction what friction takes at low torque, and no more", () => {
    assert.deepEqual(check([-4, 0.2, 0.1], [13, 50, 85]), []);
    assert.deepEqual(check([-7.3, 0.2, 0.1], [13, 50, 85]), [0]);
    assert.deepEqual(check([0.1, 0.2, -4], [13, 50, 85]), [2]);
  });

  it("finds several among many", () => {
    assert.deepEqual(check([0, 0.1, 8, 0.2, -7], [15, 30, 45, 60, 75]), [2, 4]);
  });

  it("does not choose between two readings", () => {
    assert.deepEqual(check([0, 9]), []);
    assert.deepEqual(check([9]), []);
    assert.deepEqual(check([]), []);
  });
});
