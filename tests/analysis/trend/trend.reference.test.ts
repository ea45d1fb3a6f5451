import { describe, it } from "vitest";
import { normalUpperTail } from "../../../analysis/distributions/normal.ts";
import { mannKendall, risingPairChances } from "../../../analysis/trend/mann-kendall.ts";
import { theilSen } from "../../../analysis/trend/theil-sen.ts";
import { againstSource, referenceData } from "../../support/reference-table.ts";

interface Trend {
  readonly mannKendall: Record<"S" | "varS" | "z" | "pTwoSidedNormal" | "tauB", number>;
  readonly senSlope: Record<"slope" | "nSlopes" | "lower" | "upper" | "interceptMedianResidual", number>;
}
interface Series {
  readonly x: number[];
  readonly y: number[];
}

const { data, expected } = referenceData<{
  data: Record<"tuna" | "sodium" | "nile", Series>;
  expected: { tuna: Trend & { corTest: { pExactTwoSided: number } }; sodium: Trend; nile: Trend } & {
    exactNullCounts: { n5: number[]; n9: number[] };
  };
}>("trend-nonparametric");

const SOURCES = {
  tuna: "Hollander and Wolfe 1973, tuna",
  sodium: "EPA 2009, sodium, from memory",
  nile: "Nile flow 1871-1970 (R datasets)",
} as const;

describe("trends against their sources", () => {
  for (const name of ["tuna", "sodium", "nile"] as const) {
    it(name, () => {
      const { x, y } = data[name];
      const wanted = expected[name];
      const source = SOURCES[name];
      const allowed = { relative: 1e-12 };
      const { s, variance, z, tau } = mannKendall(x, y);
      const mk = wanted.mannKendall;
      againstSource(
        "Mann-Kendall S, variance, z, tau",
        source,
        [mk.S, mk.varS, mk.z, mk.tauB],
        [s, variance, z, tau],
        allowed,
      );
      againstSource(
        "Mann-Kendall p (normal)",
        source,
        mk.pTwoSidedNormal,
        2 * normalUpperTail(Math.abs(z)),
        allowed,
      );
      const line = theilSen(x, y);
      const sen = wanted.senSlope;
      againstSource(
        "Theil-Sen slope, intercept, limits, pairs",
        source,
        [sen.slope, sen.interceptMedianResidual, sen.lower, sen.upper, sen.nSlopes],
        [line.slope, line.intercept, line.lower!, line.upper!, line.pairs],
        allowed,
      );
    });
  }

  it("exact chances of rising pairs", () => {
    const { tuna, exactNullCounts } = expected;
    againstSource(
      "Kendall p (exact)",
      SOURCES.tuna,
      tuna.corTest.pExactTwoSided,
      mannKendall(data.tuna.x, data.tuna.y).p,
      {
        relative: 1e-12,
      },
    );
    const counts = [
      [5, 120, exactNullCounts.n5],
      [9, 362_880, exactNullCounts.n9],
    ] as const;
    for (const [n, orders, wanted] of counts) {
      const got = risingPairChances(n).map((chance) => chance * orders);
      againstSource(`orders of ${n} by rising pairs`, "counted out", wanted, got, { relative: 1e-12 });
    }
  });

  it("five checks, worked by hand", () => {
    const line = theilSen([0.1, 0.2, 0.35, 0.5, 0.6], [0.1, 0.35, 0.2, 0.62, 0.55]);
    againstSource("Theil-Sen slope", "five checks, worked by hand", 0.9, line.slope, { relative: 1e-12 });
  });
});
