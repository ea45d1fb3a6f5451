import assert from "node:assert/strict";
import fc from "fast-check";
import { describe, it } from "vitest";
import { FOLDED_END, foldBeyondBank } from "../../../dashboard/page-models/bank-scale.ts";

const anyError = fc.double({ min: -1e6, max: 1e6, noNaN: true });

describe("foldBeyondBank, for any error", () => {
  it("changes nothing inside tolerance", () => {
    fc.assert(
      fc.property(fc.double({ min: -1, max: 1, noNaN: true }), (r) => assert.equal(foldBeyondBank(r), r)),
    );
  });

  it("keeps every unit in the picture and on its side of the limit", () => {
    fc.assert(
      fc.property(anyError, (r) => {
        const folded = foldBeyondBank(r);
        assert.ok(Math.abs(folded) < FOLDED_END);
        assert.equal(Math.abs(folded) > 1, Math.abs(r) > 1 && Math.abs(r) - 1 > 1e-15);
      }),
    );
  });

  it("keeps order, and is the same on both banks", () => {
    fc.assert(
      fc.property(anyError, anyError, (a, b) => {
        if (a < b) assert.ok(foldBeyondBank(a) <= foldBeyondBank(b));
        assert.equal(foldBeyondBank(-a), -foldBeyondBank(a));
      }),
    );
  });

  it("comes to the values that its description names", () => {
    assert.ok(Math.abs(foldBeyondBank(2) - 1.39) < 0.005);
    assert.ok(Math.abs(foldBeyondBank(3) - 1.5) < 0.005);
  });
});
