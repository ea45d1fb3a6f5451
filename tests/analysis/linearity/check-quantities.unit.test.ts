import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { LengthMismatchError, NonFiniteValueError, TooFewPointsError } from "../../../analysis/errors.ts";
import { checkQuantities } from "../../../analysis/linearity/check-quantities.ts";
import { assertClose } from "../../support/close.ts";
import fc from "../../support/property.ts";
import { againstSource } from "../../support/reference-table.ts";

const noise = { repeatability: 0.1, sharedProportional: 0.35 };

describe("checkQuantities", () => {
  it("agrees with the worked check", () => {
    const { line, nonlinearity } = checkQuantities([20, 50, 85], [0.1, 0.05, 0.62], noise);
    const printed = { absolute: 6e-7 };
    const source = "one check, worked by hand";
    againstSource("zero and span", source, [-0.168465, 0.822835], [line!.zero, line!.span], printed);
    againstSource("their covariance", source, [0.015945, -0.024409, 0.169744], line!.covariance, printed);
    const { departure, departureSe, curvature } = nonlinearity!;
    againstSource("nonlinearity N", source, -0.29, departure, { absolute: 1e-12 });
    againstSource("second divided difference", source, 2.761905, 4 * curvature, printed);
    againstSource("standard error of N", source, 0.123, departureSe, { absolute: 5e-4 });
  });

  it("gives the mean only over a narrow range of torques", () => {
    const narrow = checkQuantities([50, 79.9], [0.1, 0.3], noise);
    assert.deepEqual([narrow.line, narrow.nonlinearity], [null, null]);
    assertClose(narrow.meanError, 0.2, 1e-15);
    assertClose(narrow.meanTorque, 64.95, 1e-13);
    assert.equal(checkQuantities([50], [0.1], noise).line, null);
  });

  it("has no nonlinearity from two torques, repeated or not", () => {
    assert.equal(checkQuantities([20, 80, 80], [0, 1, 1.1], noise).nonlinearity, null);
    assert.notEqual(checkQuantities([20, 80, 80], [0, 1, 1.1], noise).line, null);
  });

  it("says what is missing", () => {
    assert.throws(() => checkQuantities([], [], noise), TooFewPointsError);
    assert.throws(() => checkQuantities([1, 2], [1], noise), LengthMismatchError);
    assert.throws(() => checkQuantities([20, 50, 85], [0, Number.NaN, 1], noise), NonFiniteValueError);
  });

  it("finds the coefficient of any parabola, whatever line lies under it", () => {
    const torque = fc.double({ min: 10, max: 100, noNaN: true });
    const amount = fc.double({ min: -3, max: 3, noNaN: true });
    const spread = fc.tuple(torque, torque, torque).filter((t) => {
      const [a, b, c] = [...t].sort((x, y) => x - y) as [number, number, number];
      return c - a > 35 && b - a > 5 && c - b > 5;
    });
    fc.assert(
      fc.property(spread, amount, amount, amount, (torques, zero, span, curvature) => {
        const errors = torques.map(
          (t) => zero + (span * t) / 100 + curvature * 4 * ((t / 100) ** 2 - t / 100),
        );
        const found = checkQuantities(torques, errors, noise).nonlinearity!;
        assertClose(found.curvature, curvature, 1e-9);
        const [x1, x2, x3] = [...torques].sort((a, b) => a - b) as [number, number, number];
        const at = (t: number) => errors[torques.indexOf(t)]!;
        const share = (x2 - x1) / (x3 - x1);
        assertClose(found.departure, at(x2) - ((1 - share) * at(x1) + share * at(x3)), 1e-9);
        assertClose(found.departureSe, 0.1 * Math.sqrt(1 + (1 - share) ** 2 + share ** 2), 1e-9);
      }),
    );
  });
});
