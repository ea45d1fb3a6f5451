import assert from "node:assert/strict";
import { describe, it } from "vitest";
import type { BackTest } from "../../../analysis/index.ts";
import type { RecordView } from "../../../dashboard/assessment/views.ts";
import {
  forecastFigures,
  recordFigures,
  recordPage,
  recordSummary,
} from "../../../dashboard/page-models/record.ts";
import {
  classText,
  leadText,
  recordHeadline,
  recordQuote,
  recordRestsOn,
  skillTexts,
} from "../../../dashboard/wording/record.ts";
import { fixtureRecord } from "../support/fixture-record.ts";

const view = fixtureRecord("2026-03-31");
const headline = (of: RecordView): string => recordHeadline(recordPage(of));

function withBackTest(change: (backTest: BackTest) => BackTest | null): RecordView {
  return { ...view, record: { ...view.record!, backTest: change(view.record!.backTest!) } };
}

describe("the page of the record", () => {
  it("says in counts how forecasts came true", () => {
    assert.equal(
      headline(view),
      "Forecasts came true as often as they said: of 43 units given 20 to 40\u202f%, 12 went out.",
    );
    assert.equal(recordQuote(recordSummary(view.record!)), "of 43 units given 20 to 40\u202f%, 12 went out");
    assert.match(recordRestsOn(recordSummary(view.record!)), /323 forecasts of 323 services, made on 3 days/);
  });

  it("says where they did not", () => {
    const worse = withBackTest((backTest) => ({
      ...backTest,
      forecasts: backTest.forecasts.map((f) => (f.p === 0.1 ? { ...f, wentOut: true } : f)),
    }));
    assert.match(headline(worse), /mostly came true .* but of 40 units given 5 to 20\u202f%, 40 went out\.$/);
    const wrong = withBackTest((backTest) => ({
      ...backTest,
      forecasts: backTest.forecasts.map((f) => ({ ...f, wentOut: !f.wentOut })),
    }));
    assert.match(
      headline(wrong),
      /^Forecasts did not come true .*of 200 units given under 1\u202f%, 199 went out/,
    );
  });

  it("does not judge by a handful, nor by nothing", () => {
    const few = withBackTest((backTest) => ({ ...backTest, forecasts: backTest.forecasts.slice(0, 60) }));
    assert.match(headline(few), /^Too few units have gone out to judge the forecasts by: 1 so far/);
    assert.equal(recordQuote(recordSummary(few.record!)), null);
    assert.match(headline(withBackTest(() => null)), /^No forecast of the past/);
    assert.match(headline({ ...view, record: null }), /have not been held against what came yet/);
    assert.equal(recordQuote(null), null);
  });

  it("says how it compares with plain forecasts, worse ones too", () => {
    const summary = recordSummary(view.record!);
    assert.deepEqual(
      skillTexts(summary).map((text) => text.match(/^\d+\u202f% \w+ (to|from)/)?.[0]),
      ["50\u202f% closer to", "40\u202f% closer to", "10\u202f% further from"],
    );
    assert.match(leadText(summary)!, /^Of 45 units .* 28 had been .* at least 90 days/);
    assert.equal(leadText({ ...summary, leadTime: { wentOut: 0, announced: 0, medianDays: null } }), null);
  });

  it("names classes as people do", () => {
    assert.deepEqual(
      [
        [0, 0.01],
        [0.2, 0.4],
        [0.95, 1],
      ].map(([from, to]) => classText({ from: from!, to: to! })),
      ["under 1\u202f%", "20 to 40\u202f%", "over 95\u202f%"],
    );
  });

  it("hands its figures over, every forecast a row", () => {
    assert.equal(forecastFigures(view).length, 323);
    assert.deepEqual(forecastFigures({ ...view, record: null }), [{ as_of: "2026-03-31", forecasts: 0 }]);
    const { record } = recordFigures(view) as {
      record: { went_out: number; by_day: { went_out: number }[] };
    };
    assert.equal(
      record.by_day.reduce((sum, { went_out }) => sum + went_out, 0),
      record.went_out,
    );
  });
});
