import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { type TodayPage, todayPage } from "../../../dashboard/page-models/today.ts";
import { headline } from "../../../dashboard/wording/headline.ts";
import { plain } from "../../../dashboard/wording/phrase.ts";
import { fixtureAssessment } from "../support/fixture-fleet.ts";

const page = todayPage(await fixtureAssessment(20).current());
const sites = page.sites.map((site) => ({ ...site, behind: false }));
const calm: TodayPage = {
  ...page,
  units: 412,
  states: { out: 0, "heading-out": 0, leaning: 0, steady: 412, unjudged: 0 },
  lots: [],
  sites,
};
const said = (change: Partial<TodayPage>): string => plain(headline({ ...calm, ...change }));
const states = (change: Partial<TodayPage["states"]>): Partial<TodayPage> => ({
  states: { ...calm.states, ...change },
});
const lot = (verdict: "doubtful" | "unsound") => ({
  fluidLot: "L-1",
  errorPercent: 1,
  errorSd: 0.1,
  perYearPercent: 0,
  units: 9,
  checks: 90,
  lastUseDay: 20_542,
  verdict,
  note: null,
});

describe("headline", () => {
  it("says what is out, and what is heading out", () => {
    assert.equal(
      said(states({ out: 7, "heading-out": 13 })),
      "7 of 412 units are out of tolerance, and 13 more are likely to leave it before their service.",
    );
    assert.equal(
      said(states({ "heading-out": 1 })),
      "1 of 412 units is likely to leave tolerance before its service.",
    );
    assert.equal(
      said(states({ out: 1 })),
      "1 of 412 units is out of tolerance; no other is likely to leave it before its service.",
    );
  });

  it("says that nothing is the matter", () => {
    assert.equal(said({}), "None of 412 units is likely to leave tolerance before its service.");
  });

  it("does not call a fleet sound that cannot be judged", () => {
    assert.equal(said(states({ steady: 0, unjudged: 412 })), "None of 412 units can be judged yet.");
    assert.equal(said({ units: 0 }), "No unit is registered yet.");
  });

  it("tells a lot as one finding, and a site that is behind", () => {
    const behind = [{ ...sites[0]!, behind: true }, ...sites.slice(1)];
    assert.match(said({ lots: [lot("doubtful")] }), / One fluid lot is doubtful\.$/);
    assert.match(
      said({ lots: [lot("unsound"), lot("doubtful")], sites: behind }),
      / One fluid lot is unsound and one more doubtful, and Ashmere is behind with its checks\.$/,
    );
    assert.match(said({ sites: behind }), / Ashmere is behind with its checks\.$/);
  });

  it("links each part to the units it speaks of", () => {
    const links = headline({ ...calm, ...states({ out: 7, "heading-out": 13 }) }).flatMap(
      ({ href }) => href ?? [],
    );
    assert.deepEqual(links, ["/units?state=out", "/units?state=heading-out"]);
  });
});
