import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { tQuantile } from "../../../analysis/distributions/student-t.ts";
import {
  ImpossibleValueError,
  LengthMismatchError,
  NonFiniteValueError,
  NoScatterError,
  SingularDesignError,
  TooFewPointsError,
} from "../../../analysis/errors.ts";
import { USE } from "../../../analysis/fleet.ts";
import { USUAL_CHECK_NOISE } from "../../../analysis/linearity/check-noise.ts";
import { compareLinearity } from "../../../analysis/linearity/compare.ts";
import { fitLinearity, linearityBand, linearityReadings } from "../../../analysis/linearity/pooled.ts";
import { assertClose } from "../../support/close.ts";
import { unitReadings } from "../../support/unit-readings.ts";

const KNOWN = { ...USUAL_CHECK_NOISE, df: Number.POSITIVE_INFINITY };
const oneCheck = { check: [0, 0, 0], torque: [20, 50, 85], error: [0.1, 0.05, 0.62] };

describe("fitLinearity", () => {
  it("judges one check by the noise that is known", () => {
    const { zero, span, nonlinearity, joint } = fitLinearity(oneCheck, KNOWN);
    assertClose(zero.value, -0.168465, 1e-6);
    assertClose(zero.se ** 2, 0.015945, 1e-6);
    assertClose(span.value, 0.822835, 1e-6);
    assertClose(span.se ** 2, 0.169744, 1e-6);
    assert.equal(zero.df, Number.POSITIVE_INFINITY);
    assert.equal(joint.df2, Number.POSITIVE_INFINITY);
    // c 2.761905 at the torques where units are judged: -c x 0.3 x 0.35.
    assertClose(nonlinearity?.value ?? Number.NaN, -2.761905 * 0.3 * 0.35, 1e-6);
  });

  it("is less sure of one check where the noise is only presumed", () => {
    const presumed = fitLinearity(oneCheck);
    assert.ok(presumed.zero.df > 2 && presumed.zero.df < 30);
    assert.ok(presumed.zero.p > fitLinearity(oneCheck, KNOWN).zero.p);
  });

  it("lets a shared proportional error into the span only", () => {
    const without = { ...KNOWN, sharedProportional: 1e-9 };
    const [shared, alone] = [fitLinearity(oneCheck, KNOWN), fitLinearity(oneCheck, without)];
    assertClose(shared.zero.value, alone.zero.value, 1e-12);
    assertClose(shared.zero.se, alone.zero.se, 1e-9);
    assertClose(shared.nonlinearity!.se, alone.nonlinearity!.se, 1e-9);
    assertClose(shared.span.se ** 2, alone.span.se ** 2 + 0.35 ** 2, 1e-9);
  });

  it("has no nonlinearity from two torques, and no lack of fit without repeats", () => {
    const fit = fitLinearity({ check: [0, 0, 1], torque: [20, 80, 20], error: [0.1, 0.3, 0.2] });
    assert.equal(fit.nonlinearity, null);
    assert.equal(fit.curvature, null);
    assert.equal(fitLinearity(oneCheck).lackOfFit, null);
  });

  it("gives a reading of low weight three times the standard deviation", () => {
    const readings = unitReadings([
      { day: 1, check: 0, torque: 20, error: 0.1 },
      { day: 1, check: 0, torque: 50, error: 9, use: USE.lowWeight },
      { day: 1, check: 0, torque: 85, error: 0.2, use: USE.shownOnly },
      { day: 9, check: 1, torque: 85, error: 0.3 },
    ]);
    assert.deepEqual(linearityReadings(readings, [0, 1, 2, 3]), {
      check: [0, 0, 1],
      torque: [20, 50, 85],
      error: [0.1, 9, 0.3],
      weight: [1, 1 / 9, 1],
    });
    assert.deepEqual(linearityReadings(readings, [0, 1, 3], 2, 9).torque, [85]);
  });

  it("says what it cannot be drawn through", () => {
    const fitting = (part: object, noise?: null) => () => fitLinearity({ ...oneCheck, ...part }, noise);
    assert.throws(fitting({ torque: [50, 50, 50] }), SingularDesignError);
    assert.throws(fitting({ check: [0], torque: [50], error: [1] }), TooFewPointsError);
    assert.throws(fitting({ check: [0, 0], torque: [20, 50], error: [1, 2] }, null), TooFewPointsError);
    assert.throws(fitting({ torque: [20, 50] }), LengthMismatchError);
    assert.throws(fitting({ error: [0, Number.NaN, 1] }), NonFiniteValueError);
    assert.throws(fitting({ weight: [1, 0, 1] }), ImpossibleValueError);
    assert.throws(fitting({ error: [0, 0, 0] }, null), NoScatterError);
    assert.throws(
      () => fitLinearity(oneCheck, { ...KNOWN, repeatability: 0 }),
      /repeatability must be above 0/,
    );
  });

  it("answers for errors that are all equal, and for one that is huge", () => {
    const equal = fitLinearity({ ...oneCheck, error: [0.2, 0.2, 0.2] });
    assertClose(equal.zero.value, 0.2, 1e-12);
    assertClose(equal.span.value, 0, 1e-12);
    const huge = fitLinearity({ ...oneCheck, error: [0.2, 1e6, 0.2] });
    assert.ok(huge.repeatability > 1e4 && Number.isFinite(huge.zero.se));
  });
});

describe("linearityBand", () => {
  it("is the pointwise t interval, and wider where it must hold the whole line", () => {
    const fit = fitLinearity(oneCheck);
    const at20 = linearityBand(fit, [20]);
    const half = tQuantile(0.975, fit.zero.df);
    assert.equal(at20.mean[0], fit.zero.value + 0.2 * fit.span.value);
    assert.ok(at20.upper[0]! - at20.mean[0]! > 0 && half > 2);
    const whole = linearityBand(fit, [20], "simultaneous");
    assert.ok(whole.upper[0]! > at20.upper[0]! && whole.lower[0]! < at20.lower[0]!);
    assert.throws(() => linearityBand(fit, [20], "pointwise", 1), RangeError);
  });
});

describe("compareLinearity", () => {
  it("subtracts the first from the second and adds their variances", () => {
    const first = fitLinearity(oneCheck, KNOWN);
    const second = fitLinearity({ ...oneCheck, error: [0.4, 0.35, 0.92] }, KNOWN);
    const { zero, span, nonlinearity } = compareLinearity(first, second);
    assertClose(zero.value, 0.3, 1e-12);
    assertClose(zero.se, Math.SQRT2 * first.zero.se, 1e-12);
    assertClose(span.value, 0, 1e-12);
    assertClose(nonlinearity!.value, 0, 1e-12);
    assert.equal(zero.df, Number.POSITIVE_INFINITY);
  });

  it("has Welch's degrees of freedom: those of the two together where they are alike", () => {
    const fit = fitLinearity(oneCheck);
    assertClose(compareLinearity(fit, fit).zero.df, 2 * fit.zero.df, 1e-12);
  });
});
