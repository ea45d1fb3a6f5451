import { describe, it } from "vitest";
import {
  areaUnderRoc,
  brierDecomposition,
  brierScore,
  brierSkill,
  crpsNormal,
  intervalScore,
  logScore,
  reliabilityBins,
  wilsonInterval,
} from "../../analysis/scores.ts";
import { againstSource, referenceData } from "../support/reference-table.ts";

const { data, expected } = referenceData<{
  data: {
    forecast: number[];
    outcome: number[];
    crpsCases: { y: number; mean: number; sd: number }[];
    interval: { lower: number; upper: number; y: number; alpha: number }[];
  };
  expected: Record<
    "brier" | "reliability" | "resolution" | "uncertainty" | "skill" | "logScore" | "auc",
    number
  > & {
    crps: number[];
    interval: number[];
    bins: { forecast: number[]; count: number[]; observed: number[] };
  };
}>("scoring");

describe("scores against their sources", () => {
  const came = data.outcome.map(Boolean);
  const allowed = { relative: 1e-12 };

  it("Brier score, its parts, logarithmic score, area under the curve", () => {
    const { reliability, resolution, uncertainty } = brierDecomposition(data.forecast, came);
    const source = "Brier 1950; Murphy 1973";
    againstSource("Brier score", source, expected.brier, brierScore(data.forecast, came), allowed);
    againstSource("Brier skill", source, expected.skill, brierSkill(data.forecast, came)!, allowed);
    againstSource(
      "reliability, resolution, uncertainty",
      source,
      [expected.reliability, expected.resolution, expected.uncertainty],
      [reliability, resolution, uncertainty],
      allowed,
    );
    const rank = "constructed, R 4.2.2";
    againstSource("logarithmic score", rank, expected.logScore, logScore(data.forecast, came), allowed);
    againstSource("area under ROC", rank, expected.auc, areaUnderRoc(data.forecast, came)!, allowed);
    const bins = reliabilityBins(data.forecast, came, 20, 1);
    againstSource(
      "reliability bins",
      rank,
      expected.bins.observed,
      bins.map((b) => b.observed),
      allowed,
    );
  });

  it("CRPS of a normal forecast, interval score", () => {
    const source = "Gneiting and Raftery 2007";
    const crps = data.crpsCases.map(({ y, mean, sd }) => crpsNormal(y, mean, sd));
    againstSource("CRPS", source, expected.crps, crps, allowed);
    const interval = data.interval.map((c) => intervalScore(c.y, c.lower, c.upper, c.alpha));
    againstSource("interval score", source, expected.interval, interval, allowed);
  });

  it("Wilson's interval of 6 in 80", () => {
    const { lower, upper } = wilsonInterval(6, 80);
    againstSource("Wilson interval", "worked by hand", [0.035, 0.154], [lower, upper], { absolute: 5e-4 });
  });
});
