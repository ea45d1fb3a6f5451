import assert from "node:assert/strict";
import { describe, it } from "vitest";
import type { FluidLotView, FluidsView } from "../../../dashboard/assessment/views.ts";
import { fluidsPage } from "../../../dashboard/page-models/fluids.ts";
import { lotPage } from "../../../dashboard/page-models/lot.ts";
import { fluidsHeadline, gapText, lotStep } from "../../../dashboard/wording/fluids.ts";
import { agreementText, lotFinding, verdictsText } from "../../../dashboard/wording/lot.ts";
import { plain } from "../../../dashboard/wording/phrase.ts";
import { fixtureAssessment } from "../support/fixture-fleet.ts";

const view = await fixtureAssessment(60).fluids();

/** The fleet with other verdicts; a lot without one keeps its own. */
function judged(...verdicts: readonly FluidLotView["assessment"]["verdict"][]): FluidsView {
  return {
    ...view,
    lots: view.lots.map((lot, i) => ({
      ...lot,
      assessment: { ...lot.assessment, verdict: verdicts[i] ?? lot.assessment.verdict },
    })),
  };
}
const headline = (of: FluidsView): string => plain(fluidsHeadline(fluidsPage(of)));

describe("the page of fluids", () => {
  it("tells a doubtful lot as one finding, with the units that share it", () => {
    const page = fluidsPage(view);
    assert.equal(page.unitsSharing, 30);
    assert.equal(
      plain(fluidsHeadline(page)),
      "One lot of 3 may read 1.8\u202f% above its certificate: 30 units share it. No bath is off by more than 0.2\u202fK.",
    );
  });

  it("counts a unit once that shares several lots", () => {
    const page = fluidsPage(judged("unsound", "sound", "unsound"));
    assert.equal(page.unitsSharing, 30);
    assert.match(
      plain(fluidsHeadline(page)),
      /^Two lots of 3 are off their certificates, L-25-07 by 1\.8\u202f%: 30 units share/,
    );
  });

  it("says that nothing is the matter, or that nothing can be said", () => {
    assert.match(
      headline(judged("sound", "sound", "sound")),
      /^All 3 fluid lots that can be judged are within/,
    );
    assert.match(
      headline(judged("sound", "unjudged", "unjudged")),
      /^The one fluid lot that can be judged is within/,
    );
    assert.match(
      headline(judged("unjudged", "unjudged", "unjudged")),
      /^None of 3 fluid lots can be judged yet/,
    );
    assert.match(headline({ ...view, lots: [], baths: [] }), /^No check with a fluid lot is on record/);
  });

  it("names a bath that is off, and how far", () => {
    const baths = view.baths.map((bath) => (bath.site === "Weir End" ? { ...bath, kelvin: -0.31 } : bath));
    assert.match(headline({ ...view, baths }), /The bath of Weir End is 0\.31\u202fK too cold\.$/);
  });

  it("puts the most urgent first, and what is finished after what is in use", () => {
    const names = (of: FluidsView) => fluidsPage(of).lots.map(({ fluidLot }) => fluidLot);
    assert.equal(names(view)[0], "L-25-07");
    assert.deepEqual(names(judged("sound", "sound", "sound")), ["L-25-07", "L-24-03", "L-25-01"]);
    assert.equal(names(judged("unjudged", "unsound", "sound"))[0], "L-25-01");
  });

  it("lists where the lot in use was hardly compared with another, and lots and baths that cannot be told", () => {
    const vague = view.baths.map((bath) => (bath.site === "Ashmere" ? { ...bath, kelvinSd: 0.4 } : bath));
    const page = fluidsPage({ ...judged("unjudged"), baths: vague });
    const told = page.gaps.map((gap) => plain(gapText(gap).what));
    assert.equal(told.length, 3);
    assert.match(told[0]!, /^L-24-03 cannot be told from the units that used it/);
    assert.match(told[1]!, /^L-25-07 has hardly been compared .* at Tarn House \(0 of 3 units\)/);
    assert.match(told[2]!, /^The bath of Ashmere cannot be told/);
  });

  it("tells a sound lot beyond what its certificate states, where it states anything", () => {
    const far = (i: number): FluidsView => ({
      ...judged("sound", "sound", "sound"),
      lots: judged("sound", "sound", "sound").lots.map((lot, k) =>
        k === i ? { ...lot, assessment: { ...lot.assessment, errorPercent: 0.95, errorSd: 0.1 } } : lot,
      ),
    });
    const row = (of: FluidsView, name: string) =>
      fluidsPage(of).lots.find(({ fluidLot }) => fluidLot === name)!;
    assert.match(lotStep(row(far(2), "L-25-07"), 20_543), /tell its supplier/);
    assert.match(
      plain(lotFinding(lotPage(far(2), "L-25-07", 1))),
      /more than that states but no more than a tolerance/,
    );
    // Its certificate states nothing that it could be beyond.
    assert.match(plain(lotFinding(lotPage(far(0), "L-24-03", 1))), /agrees with its certificate/);
    assert.match(
      lotStep({ ...row(view, "L-25-01"), inUse: true, expiresOnDay: 20_000 }, 20_543),
      /^Past its date/,
    );
  });
});

describe("the page of a lot", () => {
  const page = lotPage(view, "L-25-07", 1);

  it("finds and says what the lot does", () => {
    assert.equal(
      plain(lotFinding(page)),
      "L-25-07 reads 1.8\u202f% above its certificate and rises 0.3\u202f% a year: it is doubtful, and 120 units shared it.",
    );
    assert.equal(
      plain(lotFinding(lotPage(view, "L-24-03", 1))),
      "L-24-03 agrees with its certificate, by 120 units that used it.",
    );
  });

  it("puts the surest units first and those that cannot say last", () => {
    const sds = page.units.map(({ says }) => says?.sd ?? Infinity);
    assert.deepEqual(
      sds,
      sds.toSorted((a, b) => a - b),
    );
    assert.equal(sds.at(-1), Infinity);
  });

  it("draws and counts only units that can tell, and those apart from the rest", () => {
    assert.ok(page.picture.words.every(({ sd }) => sd <= 0.5));
    assert.equal(page.picture.words.length, page.tally.saying);
    assert.ok(page.tally.apart >= 1);
    assert.match(agreementText(page), /apart from the rest/);
  });

  it("reaches as far as anything that is drawn", () => {
    const { reach, words, path } = page.picture;
    for (const value of [...words.map(({ error }) => error), ...path.error])
      assert.ok(Math.abs(value) < reach);
  });

  it("adds up what the lot did to verdicts", () => {
    const of = (pick: (unit: (typeof page.units)[number]) => number) =>
      page.units.reduce((sum, unit) => sum + pick(unit), 0);
    const { tally } = page;
    assert.equal(
      tally.failed,
      of((unit) => unit.failed),
    );
    assert.equal(
      verdictsText(tally),
      `${tally.failed} of ${tally.checks} checks with it failed as read. Without the lot\u2019s error, ${tally.failedByLot} of them, by ${tally.failedByLot} units, would have passed and ${tally.passedByLot} that passed, by ${tally.passedByLot} units, would have failed.`,
    );
    assert.match(verdictsText({ ...tally, failed: 0, passedByLot: 0 }), /^None of \d+ checks with it failed/);
    assert.match(verdictsText({ ...tally, failedByLot: 0, passedByLot: 0 }), /the same ones would have\.$/);
  });
});
