import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { BAND_NAMES, bandOf } from "../../../analysis/band.ts";
import { checkQuantities } from "../../../analysis/linearity/check-quantities.ts";
import { bandNumber, QUANTITIES, quantitiesOfCheck } from "../../../analysis/watch/quantities.ts";
import { assertClose } from "../../support/close.ts";
import fc from "../../support/property.ts";

const REPEATABILITY = 0.1;
const SHARED = 0.35;

function quantities(torques: readonly number[], errors: readonly number[]) {
  const value = new Float64Array(QUANTITIES.length);
  const variance = new Float64Array(QUANTITIES.length);
  const columns = {
    torque: Float64Array.from(torques, (x) => x / 100),
    error: Float64Array.from(errors),
    tolerance: new Float64Array(errors.length).fill(2),
    varianceFactor: new Float64Array(errors.length).fill(1),
  };
  quantitiesOfCheck(columns, 0, errors.length, REPEATABILITY ** 2, SHARED ** 2, value, variance);
  return { value, variance };
}

describe("quantitiesOfCheck", () => {
  it("gives the worked example: zero, span and bend of one check with their variances", () => {
    const { value, variance } = quantities([20, 50, 85], [0.1, 0.05, 0.62]);
    assertClose(value[0]!, -0.168465, 1e-6);
    assertClose(value[1]!, 0.822835, 1e-6);
    assertClose(value[2]!, -0.29, 1e-6);
    assertClose(Math.sqrt(variance[0]!), 0.126274, 1e-5);
    assertClose(Math.sqrt(variance[1]!), 0.412, 1e-3);
    assertClose(Math.sqrt(variance[2]!), 0.123, 5e-3);
  });

  it("agrees with the figures of a single check at any torques", () => {
    const torque = fc.double({ min: 1, max: 100, noNaN: true });
    const error = fc.double({ min: -5, max: 5, noNaN: true });
    fc.assert(
      fc.property(fc.array(fc.tuple(torque, error), { minLength: 2, maxLength: 6 }), (readings) => {
        const sorted = [...readings].sort((a, b) => a[0] - b[0]);
        const torques = sorted.map(([x]) => x);
        // Torques next to each other carry no bend worth comparing.
        fc.pre(torques.every((x, i) => i === 0 || x - torques[i - 1]! > 3));
        const noise = { repeatability: REPEATABILITY, sharedProportional: SHARED };
        const one = checkQuantities(
          torques,
          sorted.map(([, e]) => e),
          noise,
        );
        const { value, variance } = quantities(
          torques,
          sorted.map(([, e]) => e),
        );
        assert.equal(Number.isNaN(value[0]!), one.line === null);
        if (one.line) {
          assertClose(value[0]!, one.line.zero, 1e-8);
          assertClose(value[1]!, one.line.span, 1e-8);
          assertClose(variance[0]!, one.line.covariance[0], 1e-8);
          assertClose(variance[1]!, one.line.covariance[2], 1e-8);
        }
        if (one.nonlinearity && !Number.isNaN(value[2]!)) {
          assertClose(value[2]!, -0.42 * one.nonlinearity.curvature, 1e-6);
          assertClose(Math.sqrt(variance[2]!), 0.42 * one.nonlinearity.curvatureSe, 1e-6);
        }
      }),
    );
  });

  it("takes a band's readings together, and names none for a band without readings", () => {
    const { value, variance } = quantities([20, 25, 85], [0.2, 0.4, 1]);
    assertClose(value[3]!, 0.15, 1e-12);
    assert.ok(Number.isNaN(value[4]!) && Number.isNaN(variance[4]!));
    assertClose(value[5]!, 0.5, 1e-12);
    assertClose(variance[3]!, (0.01 / 2 + 0.225 ** 2 * SHARED ** 2) / 4, 1e-12);
  });

  it("knows the bands as everybody else does", () => {
    for (const torque of [0, 9.99, 10, 29.9, 30, 69.9, 70, 100, 100.5, Number.NaN]) {
      const name = bandOf(torque);
      assert.equal(bandNumber(torque / 100), name === null ? -1 : BAND_NAMES.indexOf(name));
    }
  });
});
