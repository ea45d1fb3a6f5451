import assert from "node:assert/strict";
import { describe, it } from "vitest";
import {
  type Finding,
  fitReliability,
  intervalFor,
  reliabilityAt,
} from "../../../analysis/planning/reliability-fit.ts";
import { wilsonInterval } from "../../../analysis/scores.ts";
import { againstSource, referenceData } from "../../support/reference-table.ts";

interface Expected {
  readonly logLik: number;
  readonly scale: number;
  readonly shape: number;
  readonly varIntercept: number;
  readonly p10: number;
}
interface Data {
  readonly data: Readonly<
    Record<"cosmesis" | "constructed", { readonly left: number[]; readonly right: (number | null)[] }>
  > & {
    readonly commonInterval: { readonly units: number; readonly failed: number; readonly interval: number };
  };
  readonly expected: Readonly<
    Record<"cosmesis" | "constructed", Readonly<Record<"exponential" | "weibull", Expected>>>
  > & { readonly commonInterval: Readonly<Record<string, number>> & { readonly wilson95: [number, number] } };
}

const { data, expected } = referenceData<Data>("interval-censored");

const findingsOf = ({ left, right }: { left: number[]; right: (number | null)[] }): Finding[] =>
  left.map((from, i) => ({ from, to: right[i] ?? Number.POSITIVE_INFINITY }));

describe("fitReliability against R's survreg", () => {
  for (const set of ["cosmesis", "constructed"] as const) {
    for (const model of ["exponential", "weibull"] as const) {
      it(`${set}, ${model}`, () => {
        const fit = fitReliability(findingsOf(data[set]), model);
        const wanted = expected[set][model];
        const source = "Finkelstein and Wolfe 1985; R survival";
        againstSource("log-likelihood", source, wanted.logLik, fit.logLikelihood, { relative: 1e-9 });
        // A maximum is known to the root of the likelihood's own digits; survreg stops there too.
        againstSource("scale and shape", source, [wanted.scale, wanted.shape], [fit.scale, fit.shape], {
          relative: 1e-5,
        });
        againstSource("variance of ln scale", source, wanted.varIntercept, fit.covariance[0], {
          relative: 1e-3,
        });
        againstSource("time by which a tenth is out", source, wanted.p10, intervalFor(fit, 0.9), {
          relative: 1e-5,
        });
      });
    }
  }

  it("has a closed form where all were looked at after one interval", () => {
    const { units, failed, interval } = data.commonInterval;
    const findings = Array.from({ length: units }, (_, i) =>
      i < failed ? { from: 0, to: interval } : { from: interval, to: Number.POSITIVE_INFINITY },
    );
    const fit = fitReliability(findings, "exponential");
    const { rate, seRate, intervalForReliability95, intervalForReliability90, wilson95 } =
      expected.commonInterval;
    const source = "closed form, Nelson 1982";
    againstSource("rate", source, rate!, 1 / fit.scale, { relative: 1e-6 });
    againstSource("its standard error", source, seRate!, Math.sqrt(fit.covariance[0]) / fit.scale, {
      relative: 1e-4,
    });
    againstSource(
      "intervals for 95 and 90 %",
      source,
      [intervalForReliability95!, intervalForReliability90!],
      [intervalFor(fit, 0.95), intervalFor(fit, 0.9)],
      { relative: 1e-6 },
    );
    const { lower, upper } = wilsonInterval(failed, units);
    againstSource("Wilson's interval", "Wilson 1927", wilson95, [lower, upper], { relative: 1e-9 });
  });
});

describe("the intervals of the worked examples", () => {
  const SOURCE = "worked by hand, closed forms";
  const weibull = (scale: number, shape: number) => ({
    model: "weibull" as const,
    scale,
    shape,
    logLikelihood: 0,
    findings: 0,
    foundOut: 0,
    covariance: [0, 0, 0, 0] as const,
  });

  it("six of 80 out after a year: a rate of 0.078 a year, out of tolerance between 3.5 and 15.4 %", () => {
    const findings = Array.from({ length: 80 }, (_, i) =>
      i < 6 ? { from: 0, to: 1 } : { from: 1, to: Number.POSITIVE_INFINITY },
    );
    const rate = 1 / fitReliability(findings, "exponential").scale;
    // Half a unit of the last digit printed, here and below.
    againstSource("rate, six of 80 out", SOURCE, 0.078, rate, { absolute: 0.0005 });
    const { lower, upper } = wilsonInterval(6, 80);
    againstSource("Wilson, six of 80 out", SOURCE, [0.035, 0.154], [lower, upper], { absolute: 0.0005 });
  });

  it("rate 0.10 a year: 0.513 years for 95 %; Weibull with shape 2 and scale 4: 0.906 years", () => {
    const years = [intervalFor(weibull(10, 1), 0.95), intervalFor(weibull(4, 2), 0.95)];
    againstSource("intervals for 95 %", SOURCE, [0.513, 0.906], years, { absolute: 0.0005 });
  });

  it("keep what they promise: the reliability at the end of the interval is the target", () => {
    for (const target of [0.8, 0.9, 0.95, 0.99]) {
      const model = weibull(3, 1.7);
      assert.ok(Math.abs(reliabilityAt(model, intervalFor(model, target)) - target) < 1e-12);
    }
  });

  it("are shorter the surer one wants to be", () => {
    const model = fitReliability(findingsOf(data.cosmesis), "weibull");
    assert.ok(intervalFor(model, 0.95, 0.8) < intervalFor(model, 0.95));
    assert.ok(intervalFor(model, 0.95, 0.95) < intervalFor(model, 0.95, 0.8));
  });
});
