import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { adjustForFalseDiscovery, discoveries } from "../../../analysis/control-charts/false-discovery.ts";
import { ImpossibleValueError } from "../../../analysis/errors.ts";
import fc from "../../support/property.ts";
import { againstSource, referenceData } from "../../support/reference-table.ts";

describe("false discovery rate", () => {
  it("lists the first four of the fifteen of Benjamini and Hochberg", () => {
    const { data, expected } = referenceData<{
      data: { p: number[]; q: number };
      expected: { rejectedBH: number; adjustedBH: number[] };
    }>("benjamini-hochberg");
    const source = "Benjamini and Hochberg 1995";
    const listed = discoveries(data.p, data.q);
    againstSource("adjusted p-values", source, expected.adjustedBH, adjustForFalseDiscovery(data.p), {
      relative: 1e-13,
    });
    againstSource("number listed", source, expected.rejectedBH, listed.length, { absolute: 0 });
    assert.deepEqual(listed, [0, 1, 2, 3]);
  });

  it("keeps the order of its input, takes ties and nothing", () => {
    assert.deepEqual([...adjustForFalseDiscovery([0.04, 0.01, 0.04])], [0.04, 0.03, 0.04]);
    assert.deepEqual(discoveries([0.9, 0.001], 0.05), [1]);
    assert.deepEqual(discoveries([], 0.05), []);
  });

  it("names what cannot be", () => {
    assert.throws(() => adjustForFalseDiscovery([0.5, 1.1]), ImpossibleValueError);
    assert.throws(() => discoveries([0.5], 0), /rate must be between 0 and 1/);
  });

  it("equals the step-up procedure as it was written", () => {
    const p = fc.array(
      fc.integer({ min: 0, max: 1000 }).map((v) => v / 1000),
      { maxLength: 30 },
    );
    fc.assert(
      fc.property(p, fc.constantFrom(0.05, 0.1, 0.25), (values, rate) => {
        const sorted = [...values].sort((a, b) => a - b);
        let largest = 0;
        for (const [i, value] of sorted.entries()) {
          // The same product on either side, so that equality is judged alike.
          if ((value * values.length) / (i + 1) <= rate) largest = i + 1;
        }
        assert.equal(discoveries(values, rate).length, largest);
      }),
    );
  });
});
