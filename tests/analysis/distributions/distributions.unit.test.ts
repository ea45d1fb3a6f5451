import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { chiSquareCdf, chiSquareQuantile } from "../../../analysis/distributions/chi-square.ts";
import { fQuantile, fUpperTail } from "../../../analysis/distributions/f.ts";
import {
  normalCdf,
  normalLogCdf,
  normalQuantile,
  normalUpperTail,
} from "../../../analysis/distributions/normal.ts";
import { tCdf, tQuantile, tTwoSidedP } from "../../../analysis/distributions/student-t.ts";
import { assertClose } from "../../support/close.ts";

const KNOWN_VARIANCE = Number.POSITIVE_INFINITY;

describe("distributions", () => {
  it("keep the digits of a far tail", () => {
    assertClose(normalUpperTail(10) / 7.619853024160525e-24, 1, 1e-13);
    assert.equal(normalUpperTail(10), normalCdf(-10));
    assert.ok(fUpperTail(1e6, 3, 20) > 0);
  });

  it("has a logarithm where the probability itself is 0, without a step at the change of formula", () => {
    assert.equal(normalCdf(-60), 0);
    assert.ok(Number.isFinite(normalLogCdf(-60)));
    assertClose(normalLogCdf(-37 - 1e-9), normalLogCdf(-37 + 1e-9), 1e-9);
    assert.ok(Math.abs(normalLogCdf(40)) < 1e-300);
  });

  it("become the normal and chi-square distributions where the variance is known", () => {
    assert.equal(tQuantile(0.975, KNOWN_VARIANCE), normalQuantile(0.975));
    assert.equal(tCdf(1.3, KNOWN_VARIANCE), normalCdf(1.3));
    assertClose(fQuantile(0.95, 2, KNOWN_VARIANCE), chiSquareQuantile(0.95, 2) / 2, 1e-15);
    assertClose(fUpperTail(1.7, 2, KNOWN_VARIANCE), Math.exp(-1.7), 1e-14);
  });

  it("find the quantile of the smallest probabilities", () => {
    for (const exponent of [4, 5, 8, 15, 16, 17, 40, 200, 300]) {
      const p = Number(`1e-${exponent}`);
      assertClose(normalLogCdf(normalQuantile(p)) / Math.log(p), 1, 5e-14);
    }
  });

  it("undo each other", () => {
    for (const p of [0.001, 0.2, 0.5, 0.975, 0.9999]) {
      assertClose(normalCdf(normalQuantile(p)), p, 1e-14);
      assertClose(tCdf(tQuantile(p, 3.7), 3.7), p, 1e-12);
      assertClose(chiSquareCdf(chiSquareQuantile(p, 4), 4), p, 1e-12);
      assertClose(1 - fUpperTail(fQuantile(p, 2, 9), 2, 9), p, 1e-12);
    }
    assertClose(tTwoSidedP(-tQuantile(0.975, 5), 5), 0.05, 1e-13);
  });

  it("name a probability or degrees of freedom that cannot be", () => {
    for (const p of [0, 1, -0.1, Number.NaN]) assert.throws(() => normalQuantile(p), RangeError);
    for (const df of [0, -1, Number.NaN]) {
      assert.throws(() => tQuantile(0.9, df), /degrees of freedom must be above 0/);
      assert.throws(() => tCdf(1, df), RangeError);
      assert.throws(() => chiSquareCdf(1, df), RangeError);
      assert.throws(() => fQuantile(0.9, 2, df), RangeError);
    }
  });
});
