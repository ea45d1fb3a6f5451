import assert from "node:assert/strict";
import { beforeAll, describe, it } from "vitest";
import { assessLots } from "../../../analysis/drift/assess-shared.ts";
import type { FleetFigures } from "../../../analysis/drift/figures.ts";
import { fitFleet } from "../../../analysis/drift/fit-fleet.ts";
import { lotCourse } from "../../../analysis/fluids/lot-course.ts";
import { type LotInFull, lotsInFull } from "../../../analysis/fluids/lots-in-full.ts";
import { simulateFleet, USUAL_LAWS } from "../../simulation/simulated-fleet.ts";

const { fleet } = simulateFleet({ ...USUAL_LAWS, units: 60, sites: 2, ageingLots: 0.3, lotSd: 0.6 }, 4);

describe("lots in full", () => {
  let figures: FleetFigures;
  let lots: LotInFull[];
  beforeAll(() => {
    figures = fitFleet(fleet);
    lots = lotsInFull(fleet, figures);
  });

  it("end where the assessment of the lot stands, with the same uncertainty", () => {
    const assessed = assessLots(fleet, figures);
    assert.deepEqual(
      lots.map(({ fluidLot }) => fluidLot),
      assessed.map(({ fluidLot }) => fluidLot),
    );
    for (const [i, { path, units }] of lots.entries()) {
      const { errorPercent, errorSd, checks } = assessed[i]!;
      // Both are the same sum of the same estimates, in another order.
      assert.ok(Math.abs(path.error.at(-1)! - errorPercent) < 1e-9);
      assert.ok(Math.abs(path.sd.at(-1)! - errorSd) < 1e-9);
      // The assessment counts checks below 10 % torque, which cannot fail, too.
      const counted = units.reduce((sum, unit) => sum + unit.checks, 0);
      assert.ok(counted <= checks && counted > 0.9 * checks, `${counted} of ${checks}`);
    }
  });

  it("are what the units say: their words, weighed by how sure they are, make up the estimate", () => {
    const scores: number[] = [];
    for (const { units } of lots) {
      const says = units.flatMap((unit) => unit.says ?? []);
      const weight = says.reduce((sum, { sd }) => sum + 1 / sd ** 2, 0);
      const beside = says.reduce((sum, word) => sum + word.beside / word.sd ** 2, 0) / weight;
      // The estimate has the lots' usual spread as one more word, and steps found one pass earlier.
      assert.ok(Math.abs(beside) < 0.05, `${beside}`);
      for (const word of says) scores.push(word.beside / word.sd);
    }
    const spread = Math.sqrt(scores.reduce((sum, z) => sum + z * z, 0) / scores.length);
    // One unit's word differs from the rest's by as much as it says: some 100 words, so within a fifth or so.
    assert.ok(spread > 0.75 && spread < 1.35, `standardised spread ${spread} of ${scores.length}`);
  });

  it("know of a lot that the figures do not know only what lots are usually off by", () => {
    const [known] = lots;
    const { courses } = figures.shared;
    const without = courses.filter(({ fluidLot }) => fluidLot !== known!.fluidLot);
    const shared = { ...figures.shared, courses: without };
    assert.equal(lotCourse({ ...figures, shared }, known!.fluidLot), null);
    const again = lotsInFull(fleet, { ...figures, shared }).find(
      ({ fluidLot }) => fluidLot === known!.fluidLot,
    )!;
    assert.ok(again.path.error.every((error) => error === 0));
    assert.ok(again.path.sd.every((sd) => sd === Math.sqrt(figures.shared.newVariance.lot!)));
    assert.equal(again.units.length, known!.units.length);
    assert.ok(again.units.every(({ says, failedByLot }) => says === null && failedByLot === 0));
  });

  it("ask no unit that the figures were not learnt from", () => {
    const { repeatability, ...rest } = figures;
    const [asked] = Object.keys(repeatability);
    const few = lotsInFull(fleet, { ...rest, repeatability: { [asked!]: repeatability[asked!]! } });
    const saying = few.flatMap(({ units }) => units.filter(({ says }) => says !== null));
    assert.ok(saying.length > 0);
    assert.deepEqual(new Set(saying.map(({ instrument }) => instrument)), new Set([asked]));
  });
});
