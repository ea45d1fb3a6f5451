import { describe, it } from "vitest";
import { lag1Autocorrelation, moments } from "../../../analysis/numeric/moments.ts";
import { againstSource, referenceData } from "../../support/reference-table.ts";

interface Univariate {
  readonly data: Record<"Lew" | "Mavro" | "Michelso" | "NumAcc1", readonly number[]>;
  readonly expected: Record<string, { readonly mean: number; readonly sd: number; readonly lag1: number }>;
}

const { data, expected } = referenceData<Univariate>("strd-univariate");

/** NumAcc2 to 4 are made by a rule: a first value, then 500 pairs. */
const byRule = (first: number, a: number, b: number) => [first, ...Array(500).fill([a, b]).flat()];

const SETS: readonly (readonly [string, readonly number[], number])[] = [
  // The allowed deviation of the standard deviation: what the decimal data lose as binary numbers.
  ["Lew", data.Lew, 1e-14],
  ["Mavro", data.Mavro, 1e-12],
  ["Michelso", data.Michelso, 1e-12],
  ["NumAcc1", data.NumAcc1, 1e-15],
  ["NumAcc2", byRule(1.2, 1.1, 1.3), 1e-14],
  ["NumAcc3", byRule(1000000.2, 1000000.1, 1000000.3), 1e-9],
  ["NumAcc4", byRule(10000000.2, 10000000.1, 10000000.3), 1e-8],
];

describe("moments against the NIST univariate sets", () => {
  for (const [name, values, allowed] of SETS) {
    it(name, () => {
      const { mean, sampleSd } = moments(values);
      const certified = expected[name]!;
      const source = `NIST StRD ${name}`;
      againstSource("mean", source, certified.mean, mean, { relative: 1e-15 });
      againstSource("standard deviation", source, certified.sd, sampleSd, { relative: allowed });
      againstSource("lag-1 autocorrelation", source, certified.lag1, lag1Autocorrelation(values), {
        relative: Math.max(allowed, 1e-12),
      });
    });
  }
});
