import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { NonFiniteValueError } from "../../analysis/errors.ts";
import { fluidValueAt, temperatureUncertaintyPercent } from "../../analysis/temperature.ts";
import { assertClose } from "../support/close.ts";

describe("fluidValueAt", () => {
  it("follows the lot's own coefficient", () => {
    assertClose(fluidValueAt(500, 0.2, -2) ?? Number.NaN, 500 * Math.exp(-0.004), 1e-15);
    assertClose(fluidValueAt(500, -0.5, -7) ?? Number.NaN, 500 * Math.exp(0.035), 1e-15);
  });

  it("stays close to Andrade's exponential law within half a kelvin", () => {
    const [reference, warm] = [298.15, 298.65];
    const activation = 0.08 * reference ** 2; // E / R for 8 % per K at 25 °C
    const andrade = 500 * Math.exp(activation * (1 / warm - 1 / reference));
    assertClose((fluidValueAt(500, 0.5, -8) ?? Number.NaN) / andrade, 1, 1e-4);
  });

  it("corrects nothing beyond half a kelvin or without a coefficient", () => {
    assert.equal(fluidValueAt(500, 0.51, -2), null);
    assert.equal(fluidValueAt(500, -0.51, -2), null);
    assert.equal(fluidValueAt(500, 0.1, null), null);
  });

  it("names a value that is no number", () => {
    assert.throws(() => fluidValueAt(500, Number.NaN, -2), NonFiniteValueError);
  });

  it("adds the uncertainties of temperature and coefficient", () => {
    assertClose(temperatureUncertaintyPercent(0.4, -2, 0.1, 0.3), Math.hypot(0.2, 0.12), 1e-15);
  });
});
