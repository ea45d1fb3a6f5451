import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { cusumChart } from "../../../analysis/control-charts/cusum.ts";
import { againstSource, referenceData } from "../../support/reference-table.ts";

describe("CUSUM against its source", () => {
  it("the twenty group means of the NIST handbook, and the date of the shift", () => {
    const { data, expected } = referenceData<{
      data: { x: number[]; target: number; k: number; h: number };
      expected: {
        published: { Shi: number[]; Slo: number[]; firstSignalGroup: number };
        exact: { Shi: number[]; Slo: number[]; startOfRun: number };
      };
    }>("cusum-nist");
    const chart = cusumChart(data.x, { target: data.target, allowance: data.k, decisionInterval: data.h });
    const source = "NIST handbook 6.3.2.3, CUSUM";
    // Values near 325 with three decimals: sums keep some 12 digits of them.
    const exact = { absolute: 1e-11 };
    const printed = { absolute: 5.1e-3 };
    againstSource("upper sums", source, expected.exact.Shi, chart.up, exact);
    againstSource("lower sums", source, expected.exact.Slo, chart.down, exact);
    againstSource("upper sums as printed", source, expected.published.Shi, chart.up, printed);
    againstSource("lower sums as printed", source, expected.published.Slo, chart.down, printed);
    const [signal] = chart.signals;
    assert.equal(signal?.side, "up");
    const dates = [signal.at + 1, signal.shiftFrom + 1];
    const wanted = [expected.published.firstSignalGroup, expected.exact.startOfRun];
    againstSource("signal and start of the shift", source, wanted, dates, { absolute: 0 });
  });
});
