import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { lag1Autocorrelation, moments } from "../../../analysis/numeric/moments.ts";
import { assertClose } from "../../support/close.ts";
import fc from "../../support/property.ts";

const values = fc.array(fc.integer({ min: -1000, max: 1000 }), { minLength: 2, maxLength: 60 });

describe("moments, for any series", () => {
  it("do not mind a large offset", () => {
    fc.assert(
      fc.property(values, (series) => {
        // Whole numbers: the shift itself loses nothing.
        const shifted = moments(series.map((v) => v + 2 ** 40));
        assertClose(shifted.sampleSd, moments(series).sampleSd, 1e-12);
      }),
    );
  });

  it("do not depend on the order, but for the neighbours", () => {
    fc.assert(
      fc.property(values, (series) => {
        const backwards = [...series].reverse();
        assertClose(moments(backwards).sampleVariance, moments(series).sampleVariance, 1e-12);
        assertClose(lag1Autocorrelation(backwards), lag1Autocorrelation(series), 1e-12);
        assert.ok(Math.abs(lag1Autocorrelation(series)) <= 1);
      }),
    );
  });
});
