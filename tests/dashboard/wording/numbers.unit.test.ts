import assert from "node:assert/strict";
import fc from "fast-check";
import { describe, it } from "vitest";
import {
  count,
  counted,
  countedInWords,
  decimal,
  listed,
  measured,
  percent,
  share,
  signed,
} from "../../../dashboard/wording/numbers.ts";

describe("percent", () => {
  it("says whole percents, and never 0 or 100", () => {
    assert.equal(percent(0), "under 1\u202f%");
    assert.equal(percent(0.0099), "under 1\u202f%");
    assert.equal(percent(0.01), "1\u202f%");
    assert.equal(percent(0.774), "77\u202f%");
    assert.equal(percent(0.99), "99\u202f%");
    assert.equal(percent(0.9901), "over 99\u202f%");
    assert.equal(percent(1), "over 99\u202f%");
  });

  it("is one of 101 texts for any probability", () => {
    fc.assert(
      fc.property(fc.double({ min: 0, max: 1, noNaN: true }), (p) => {
        assert.match(percent(p), /^(under 1|over 99|[1-9]\d?)\u202f%$/);
      }),
    );
  });
});

describe("numbers in text", () => {
  it("keeps thousands apart", () => {
    assert.equal(count(81861), "81,861");
    assert.equal(counted(1, "unit"), "1 unit");
    assert.equal(counted(2000, "unit"), "2,000 units");
  });

  it("spells small counts out", () => {
    assert.equal(countedInWords(3, "lot"), "three lots");
    assert.equal(countedInWords(12, "lot"), "12 lots");
  });

  it("has a true minus sign, and none at zero", () => {
    assert.equal(decimal(-0.064, 2), "\u22120.06");
    assert.equal(decimal(-0.004, 2), "0.00");
    assert.equal(signed(0.04, 2), "+0.04");
    assert.equal(signed(0.004, 2), "0.00");
    assert.equal(signed(-1.3, 1), "\u22121.3");
  });

  it("gives four digits of a measured value", () => {
    assert.equal(measured(97.7), "97.70");
    assert.equal(measured(1024.4), "1024");
    assert.equal(measured(0), "0");
    assert.equal(measured(0.01234), "0.01234");
  });

  it("counts a share that was seen with 0 and 100", () => {
    assert.equal(share(0), "0\u202f%");
    assert.equal(share(1), "100\u202f%");
  });

  it("lists with an and", () => {
    assert.equal(listed([]), "");
    assert.equal(listed(["a"]), "a");
    assert.equal(listed(["a", "b", "c"]), "a, b and c");
  });
});
