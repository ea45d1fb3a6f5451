import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { HttpError } from "../../../dashboard/errors.ts";
import {
  choiceText,
  readChoices,
  sideBySide,
  sideBySideAddress,
} from "../../../dashboard/page-models/side-by-side.ts";
import { sidesHeadline } from "../../../dashboard/wording/side-by-side.ts";
import { FIXTURE_AS_OF, fixtureAssessment } from "../support/fixture-fleet.ts";

const assessment = fixtureAssessment(60);
const unit = async (instrument: string) => (await assessment.unit(instrument))!;

describe("what is laid side by side", () => {
  it("is read from the address as it is written there", () => {
    for (const text of [
      "P-1",
      "P-1~2025-01-01..2025-06-30",
      "P-1~..2025-06-30",
      "P-1~2025-01-01..~SI-04",
      "P-1~..~a~b",
    ]) {
      assert.deepEqual(readChoices({ of: text }).map(choiceText), [text]);
    }
    const [one] = readChoices({ unit: "P-1", from: "2025-01-01", to: "", lot: "SI 4" });
    assert.equal(sideBySideAddress([one!]), "/side-by-side?of=P-1%7E2025-01-01..%7ESI+4");
    assert.deepEqual(readChoices({ unit: "P-1", from: "", to: "", lot: "" }).map(choiceText), ["P-1"]);
  });

  it("is at most four", () => {
    assert.throws(() => readChoices({ of: ["a", "b", "c", "d"], unit: "e", from: "", to: "" }), HttpError);
  });

  it("holds the checks between two days alone, and differs from itself in nothing", async () => {
    const view = await unit("V-0029");
    const days = view.readings.map(({ day }) => day);
    const middle = Math.floor((days[0]! + days.at(-1)!) / 2);
    const whole = { instrument: "V-0029", fromDay: null, toDay: null, fluidLot: null };
    const part = { ...whole, fromDay: middle };
    const { sides } = sideBySide(FIXTURE_AS_OF, [part, part], [view, view]);
    assert.ok(sides[0]!.fit!.fromDay >= middle);
    assert.equal(sides[0]!.difference, null);
    assert.equal(sides[1]!.difference!.zero.value, 0);
    assert.match(sidesHeadline(sides), /No line differs/);
    assert.equal(
      sides[0]!.fit!.checks,
      new Set(
        sides[0]!.points.length === 0
          ? []
          : view.readings.filter(({ day, use }) => day >= middle && use !== 0).map(({ check }) => check),
      ).size,
    );
  });

  it("says so where checks carry no line", async () => {
    const view = await unit("V-0029");
    const none = { instrument: "V-0029", fromDay: 0, toDay: 1, fluidLot: null };
    const { sides } = sideBySide(FIXTURE_AS_OF, [none], [view]);
    assert.equal(sides[0]!.fit, null);
  });
});
