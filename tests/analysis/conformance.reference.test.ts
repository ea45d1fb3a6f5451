import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { conformanceProbability, guardBand } from "../../analysis/conformance.ts";
import { normalUpperTail } from "../../analysis/distributions/normal.ts";
import { ImpossibleValueError, NonFiniteValueError } from "../../analysis/errors.ts";
import { assertClose } from "../support/close.ts";
import { againstSource, referenceData } from "../support/reference-table.ts";

interface Case {
  readonly estimate: number;
  readonly u: number;
  readonly lower?: number;
  readonly upper?: number;
}

const { data, expected } = referenceData<{
  data: Record<"zener" | "container" | "oil", Case>;
  expected: {
    published: Record<"zener" | "container" | "oil", number>;
    exact: Record<"zener" | "container" | "oil", number>;
    guardBandOneSided: { confidence: number[]; guardOverU: number[] };
    ilacG8: { guardOverU: number[]; falseAcceptAtLimit: number[] };
  };
}>("jcgm106");

describe("conformance against JCGM 106", () => {
  it("gives the probabilities of the three worked measurements", () => {
    const names = ["zener", "container", "oil"] as const;
    const got = names.map((name) => {
      const { estimate, u, lower, upper } = data[name];
      return conformanceProbability(estimate, u, lower ?? null, upper ?? null);
    });
    const source = "JCGM 106:2012, 7.3 and 7.4";
    againstSource(
      "conformance probability",
      source,
      names.map((n) => expected.exact[n]),
      got,
      { relative: 1e-12 },
    );
    againstSource(
      "as printed",
      source,
      names.map((n) => expected.published[n]),
      got,
      { absolute: 5e-3 },
    );
  });

  it("gives guard bands and what they let through", () => {
    const { confidence, guardOverU } = expected.guardBandOneSided;
    // Over the expanded uncertainty, U = 2 u.
    const bands = confidence.map((p) => guardBand(0.5, p));
    againstSource("guard band over U", "JCGM 106:2012, 8.3", guardOverU, bands, { relative: 1e-12 });
    const ilac = expected.ilacG8;
    const letThrough = ilac.guardOverU.map((w) => normalUpperTail(2 * w));
    againstSource(
      "false acceptance at the limit",
      "ILAC-G8:09/2019, table 1",
      ilac.falseAcceptAtLimit,
      letThrough,
      { relative: 1e-12 },
    );
  });

  it("adds up to 1 over the three ways to lie, and keeps the digits far out", () => {
    const inside = conformanceProbability(0.3, 0.2, -1, 1);
    const below = conformanceProbability(0.3, 0.2, null, -1);
    const above = conformanceProbability(0.3, 0.2, 1, null);
    assertClose(inside + below + above, 1, 1e-15);
    const between = normalUpperTail(10) - normalUpperTail(11);
    assertClose(conformanceProbability(-10, 1, 0, 1) / between, 1, 1e-12);
    assertClose(conformanceProbability(11, 1, 0, 1) / between, 1, 1e-12);
    assert.equal(conformanceProbability(5, 1, null, null), 1);
  });

  it("says what is wrong", () => {
    assert.throws(() => conformanceProbability(Number.NaN, 1, 0, 1), NonFiniteValueError);
    assert.throws(() => conformanceProbability(0, 0, 0, 1), ImpossibleValueError);
    assert.throws(() => conformanceProbability(0, 1, 2, 1), /upper limit must be 2 or more/);
    assert.throws(() => guardBand(1, 1), RangeError);
    assert.throws(() => guardBand(-1, 0.9), ImpossibleValueError);
  });
});
