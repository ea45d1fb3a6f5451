import { describe, it } from "vitest";
import { chiSquareQuantile } from "../../../analysis/distributions/chi-square.ts";
import { fQuantile } from "../../../analysis/distributions/f.ts";
import {
  normalCdf,
  normalLogCdf,
  normalPdf,
  normalQuantile,
} from "../../../analysis/distributions/normal.ts";
import { tCdf, tQuantile } from "../../../analysis/distributions/student-t.ts";
import { againstSource, referenceData } from "../../support/reference-table.ts";

interface Anchors {
  readonly data: Record<
    "tProbabilities" | "normalProbabilities" | "normalZ" | "chisqProbabilities" | "fProbabilities",
    readonly number[]
  >;
  readonly expected: {
    readonly tQuantiles: readonly { df: number; q: readonly number[] }[];
    readonly normalQuantiles: readonly number[];
    readonly normalCdf: readonly number[];
    readonly normalPdf: readonly number[];
    readonly logNormalCdf: readonly number[];
    readonly chisqQuantiles: readonly { df: number; q: readonly number[] }[];
    readonly fQuantiles: readonly { df1: number; df2: number; q: readonly number[] }[];
    readonly tCdf: readonly { t: number; df: number; upperTail: number }[];
  };
}

const { data, expected } = referenceData<Anchors>("distributions");
const source = "R 4.2.2 and arbitrary precision";
// The anchors carry 15 digits; the packages promise about 1e-14.
const allowed = { relative: 1e-12 };

describe("distributions against anchors", () => {
  it("normal", () => {
    againstSource(
      "normal quantiles",
      source,
      expected.normalQuantiles,
      data.normalProbabilities.map(normalQuantile),
      allowed,
    );
    againstSource("normal distribution", source, expected.normalCdf, data.normalZ.map(normalCdf), allowed);
    againstSource(
      "log of normal distribution",
      source,
      expected.logNormalCdf,
      data.normalZ.map(normalLogCdf),
      allowed,
    );
    againstSource("normal density", source, expected.normalPdf, data.normalZ.map(normalPdf), allowed);
  });

  it("Student's t", () => {
    const wanted = expected.tQuantiles.flatMap((row) => row.q);
    const got = expected.tQuantiles.flatMap(({ df }) => data.tProbabilities.map((p) => tQuantile(p, df)));
    againstSource("t quantiles", source, wanted, got, allowed);
    const tails = expected.tCdf.map(({ t, df }) => tCdf(-t, df));
    againstSource(
      "t tails",
      source,
      expected.tCdf.map((row) => row.upperTail),
      tails,
      allowed,
    );
  });

  it("chi-square and F", () => {
    const chi = expected.chisqQuantiles;
    const chiGot = chi.flatMap(({ df }) => data.chisqProbabilities.map((p) => chiSquareQuantile(p, df)));
    againstSource(
      "chi-square quantiles",
      source,
      chi.flatMap((row) => row.q),
      chiGot,
      allowed,
    );
    const f = expected.fQuantiles;
    const fGot = f.flatMap(({ df1, df2 }) => data.fProbabilities.map((p) => fQuantile(p, df1, df2)));
    againstSource(
      "F quantiles",
      source,
      f.flatMap((row) => row.q),
      fGot,
      allowed,
    );
  });
});
