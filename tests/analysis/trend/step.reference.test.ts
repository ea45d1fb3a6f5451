import { describe, it } from "vitest";
import { likeliestStep, pettittTest } from "../../../analysis/trend/step.ts";
import { againstSource, referenceData } from "../../support/reference-table.ts";

describe("a step in the mean against its sources", () => {
  it("the Nile at Aswan: one step after 1898", () => {
    const { data, expected } = referenceData<{
      data: { flow: number[]; startYear: number };
      expected: Record<"breakYear" | "meanBefore" | "meanAfter" | "rssNoBreak" | "rssOneBreak", number> & {
        glr: { max: number };
        pettitt: { K: number; index: number; pApprox: number };
      };
    }>("changepoint-nile");
    const step = likeliestStep(data.flow, 15);
    const source = "Nile flow 1871-1970 (Cobb 1978)";
    const allowed = { relative: 1e-12 };
    const lastYear = data.startYear + step.firstAfter - 1;
    againstSource("last year of the old level", source, expected.breakYear, lastYear, { absolute: 0 });
    againstSource(
      "means",
      source,
      [expected.meanBefore, expected.meanAfter],
      [step.before, step.after],
      allowed,
    );
    againstSource(
      "sums of squares, one and two means",
      source,
      [expected.rssNoBreak, expected.rssOneBreak],
      [step.totalSquares, step.residualSquares],
      allowed,
    );
    againstSource("log likelihood ratio", source, expected.glr.max, step.logLikelihoodRatio!, allowed);
    const test = pettittTest(data.flow);
    const { K, index, pApprox } = expected.pettitt;
    againstSource("Pettitt's test", source, [K, index, pApprox], [test.k, test.firstAfter, test.p], allowed);
  });

  it("the kilogram check standard: a step in 1986", () => {
    const { data, expected } = referenceData<{
      data: { value: number[]; date: number[] };
      expected: { bestSplitIndex: number; bestSplitDate: number };
    }>("mass-check-standard");
    const { firstAfter } = likeliestStep(data.value);
    const source = "NIST handbook 2.3.5.2, kilogram check standard";
    const wanted = [expected.bestSplitIndex, expected.bestSplitDate];
    againstSource(
      "last of the old level, and its date",
      source,
      wanted,
      [firstAfter, data.date[firstAfter - 1]!],
      {
        absolute: 1e-9,
      },
    );
  });
});
