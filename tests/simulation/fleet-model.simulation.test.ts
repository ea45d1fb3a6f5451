import assert from "node:assert/strict";
import { beforeAll, describe, it } from "vitest";
import { assessFleet } from "../../analysis/assess-fleet.ts";
import type { FleetAssessment } from "../../analysis/assessment.ts";
import type { FleetFigures } from "../../analysis/drift/figures.ts";
import { fitFleet } from "../../analysis/drift/fit-fleet.ts";
import { areaUnderRoc, brierScore, brierSkill, reliabilityBins } from "../../analysis/scores.ts";
import { type FleetLaws, type SimulatedFleet, simulateFleet, USUAL_LAWS } from "./simulated-fleet.ts";

interface Run {
  readonly simulated: SimulatedFleet;
  readonly figures: FleetFigures;
  readonly assessment: FleetAssessment;
}

function run(laws: FleetLaws, seed: number): Run {
  const simulated = simulateFleet(laws, seed);
  const figures = fitFleet(simulated.fleet);
  return { simulated, figures, assessment: assessFleet(simulated.fleet, figures) };
}

/** Forecasts and what truly came, over several runs. */
function forecastsOf(runs: readonly Run[]): { p: number[]; out: boolean[] } {
  const p: number[] = [];
  const out: boolean[] = [];
  for (const { simulated, assessment } of runs) {
    const truth = new Map(simulated.truth.map((unit) => [unit.instrument, unit.out]));
    for (const unit of assessment.units) {
      if (unit.pOutBeforeService === null) continue;
      p.push(unit.pOutBeforeService);
      out.push(truth.get(unit.instrument)!);
    }
  }
  return { p, out };
}

describe("a simulated fleet, forecast and then lived through", () => {
  const laws = { ...USUAL_LAWS, units: 150, sites: 3, checkDays: [30, 45], ageingLots: 0.2 };
  let runs: readonly Run[];

  beforeAll(() => {
    runs = [run(laws, 101), run(laws, 202)];
  });

  it("leaves tolerance as often as was said", () => {
    const { p, out } = forecastsOf(runs);
    const expected = p.reduce((a, b) => a + b, 0);
    const spread = Math.sqrt(p.reduce((sum, q) => sum + q * (1 - q), 0));
    const came = out.filter(Boolean).length;
    // Four standard deviations: the fleet's figures are estimates too.
    assert.ok(Math.abs(came - expected) < 4 * spread, `${came} came, ${expected.toFixed(1)} expected`);
    const off = reliabilityBins(p, out, 8, 20).reduce(
      (sum, bin) => sum + (bin.count / p.length) * Math.abs(bin.meanProbability - bin.observed),
      0,
    );
    assert.ok(off < 0.05, `calibration error ${off.toFixed(3)}`);
  });

  it("is told apart: who leaves and who does not", () => {
    const { p, out } = forecastsOf(runs);
    assert.ok(brierSkill(p, out)! > 0.6, `skill ${brierSkill(p, out)}`);
    assert.ok(areaUnderRoc(p, out)! > 0.95, `area ${areaUnderRoc(p, out)}`);
  });

  it("has its lots told apart from its units", () => {
    let squares = 0;
    let standardised = 0;
    let count = 0;
    for (const { simulated, assessment } of runs) {
      for (const lot of assessment.lots.filter(({ units }) => units >= 5)) {
        const off = lot.errorPercent - simulated.lotError.get(lot.fluidLot)!;
        squares += off ** 2;
        standardised += (off / lot.errorSd) ** 2;
        count++;
      }
    }
    assert.ok(Math.sqrt(squares / count) < 0.17, `off by ${Math.sqrt(squares / count).toFixed(3)} %`);
    assert.ok(standardised / count < 2, `standardised squares ${(standardised / count).toFixed(2)}`);
  });

  it("calls lots that are off by more than one per cent so, and few others", () => {
    const judged = runs.flatMap(({ simulated, assessment }) =>
      assessment.lots.map((lot) => ({
        truth: Math.abs(simulated.lotError.get(lot.fluidLot)!),
        called: lot.verdict === "unsound" || lot.verdict === "doubtful",
      })),
    );
    const bad = judged.filter(({ truth }) => truth > 1);
    const good = judged.filter(({ truth }) => truth < 0.8);
    assert.ok(bad.filter(({ called }) => called).length >= 0.9 * bad.length);
    assert.ok(good.filter(({ called }) => called).length <= 0.1 * good.length);
  });

  it("gives its laws back", () => {
    for (const { figures } of runs) {
      const { population } = figures;
      const typical = Math.exp(population.repeatabilityLogMean / 2);
      assert.ok(Math.abs(typical / laws.repeatability - 1) < 0.15, `repeatability ${typical}`);
      const drifting = population.kindShare.reduce((a, b) => a + b, 0);
      const told = Object.values(laws.share).reduce((a, b) => a + b, 0);
      assert.ok(Math.abs(drifting - told) < 0.12, `share ${drifting} for ${told}`);
      assert.ok(
        population.stepsPerYear > 0.03 && population.stepsPerYear < 0.14,
        `${population.stepsPerYear}`,
      );
    }
  });

  it("tells its baths to within their uncertainty", () => {
    for (const { simulated, assessment } of runs) {
      simulated.bathK.forEach((truth, s) => {
        for (const bath of assessment.baths.filter(({ site }) => site === `site ${s + 1}`)) {
          assert.ok(Math.abs(bath.kelvin - truth) < 4 * bath.kelvinSd);
        }
      });
    }
  });
});

describe("a fleet in which hardly anything drifts", () => {
  it("is not cried over", () => {
    const share = { span: 0.01, zero: 0.005, friction: 0.005, curvature: 0.003, acceleration: 0.003 };
    const calm = run(
      { ...USUAL_LAWS, units: 150, sites: 3, checkDays: [30], share, stepsPerYear: 0.01 },
      303,
    );
    const { p, out } = forecastsOf([calm]);
    const falseAlarms = p.filter((q, i) => q > 0.5 && !out[i]).length;
    assert.ok(falseAlarms <= 1, `${falseAlarms} sound units above one half`);
    assert.ok(brierScore(p, out) < 0.02);
  });
});
