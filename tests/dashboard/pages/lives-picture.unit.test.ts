import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { livesOf } from "../../../dashboard/page-models/lives.ts";
import { renderPart } from "../../../dashboard/pages/layout.ts";
import { LIFE_WIDTHS, lotNames, monthNames } from "../../../dashboard/pages/lives-names.ts";
import { livesPicture } from "../../../dashboard/pages/lives-picture.ts";
import { inNumberForm } from "../../../dashboard/wording/number-form.ts";
import { fixtureAssessment } from "../support/fixture-fleet.ts";

const fleet = fixtureAssessment(40);
const lives = livesOf((await fleet.unit("V-0029"))!);
const picture = renderPart(livesPicture(lives));

/** The parts of a picture that belong to one band. */
const bandsOf = (html: string): string[] => html.split('<svg class="band').slice(1);
const placesOf = (html: string): string[] => {
  const groups = [...html.matchAll(/<g class="own(?: earlier)?">(.*?)<\/g>/g)].map(([, marks]) => marks!);
  return [...groups.join("").matchAll(/cx="(.*?)" cy="(.*?)"/g)].map(([, x, y]) => `${x} ${y}`);
};

describe("the picture of a unit's lives", () => {
  it("writes nothing that a strict content policy would refuse, and no colour that the style sheet does not give", () => {
    assert.doesNotMatch(picture, /\sstyle=|<script|<style|\son\w+=|xlink:href=|fill="|stroke="/);
  });

  it("shows each band its own readings", () => {
    const places = bandsOf(picture).map(placesOf);
    assert.deepEqual(
      places.map((own) => own.length),
      lives.bands.map(({ points }) => points.filter(({ used }) => used).length),
    );
    assert.equal(new Set(places.map((own) => own.join())).size, 3);
  });

  it("lays the limits where the water ends, and what lies beyond the picture at its edge", () => {
    const [band] = lives.bands;
    const wild = { ...band!.points[0]!, day: lives.asOfDay, own: 99, asRead: 99, used: true };
    const drawn = renderPart(livesPicture({ ...lives, reach: 2, bands: [{ ...band!, points: [wild] }] }));
    assert.match(drawn, /<rect class="water" width="100%" y="25%" height="50%"/);
    assert.equal(placesOf(drawn)[0]!.split(" ")[1], "0%");
  });

  it("tells the figures of every mark where it is asked to, and in the numbers of whoever reads", () => {
    const marks = lives.bands.flatMap(({ points }) => points).length;
    const told = inNumberForm({ name: ",.", decimal: ",", group: "." }, () =>
      renderPart(livesPicture(lives, true)),
    );
    assert.equal([...told.matchAll(/data-tip="/g)].length, marks);
    assert.match(told, /data-tip="\d+ \w+ \d{4}, low torque\n\S?\d,\d\d of tolerance; as read \S?\d,\d\d"/);
    assert.match(told, /at service \S?\d,\d\d</);
    assert.doesNotMatch(picture, /data-tip/);
  });

  it("draws a reading that was not used as a cross", () => {
    const [band] = lives.bands;
    const points = band!.points.map((point, i) => ({ ...point, used: i > 1 }));
    const drawn = renderPart(livesPicture({ ...lives, bands: [{ ...band!, points }] }));
    assert.equal([...drawn.matchAll(/<path d="M-2-2L2 2M-2 2L2-2"/g)].length, 2);
    assert.equal(placesOf(drawn).length, points.length - 2);
  });

  it("is drawn of a unit that was never checked", async () => {
    const all = fixtureAssessment(200);
    const { assessment } = await all.current();
    const unjudged = assessment.units.find(({ state }) => state === "unjudged")!;
    const drawn = renderPart(livesPicture(livesOf((await all.unit(unjudged.instrument))!)));
    assert.equal(bandsOf(drawn).length, 3);
    assert.doesNotMatch(drawn, /NaN|undefined|Infinity/);
  });
});

describe("names beside the picture", () => {
  const across = (day: number): number => (day - lives.fromDay) / (lives.toDay - lives.fromDay);

  it("of months have room, the first and each January with its year", () => {
    for (const width of Object.values(LIFE_WIDTHS)) {
      const named = monthNames(lives.fromDay, lives.toDay, width, across).filter(({ text }) => text !== null);
      assert.ok(named.length > 0 && named.length <= width / 62);
      assert.match(named[0]!.text!, /^\w{3} \d{4}$/);
      for (const { text } of named) if (text!.startsWith("Jan")) assert.match(text!, /^Jan \d{4}$/);
      for (const [i, { at }] of named.slice(1).entries()) {
        assert.ok((at - named[i]!.at) * width >= named[i]!.text!.length * 6.6);
      }
    }
  });

  it("of lots are left out where they were used too shortly for their name", () => {
    const spell = { ...lives.lots[0]!, fluidLot: "L-25-07", errorPercent: null };
    const [short, long] = [10, 400].map((days) => ({ ...spell, toDay: spell.fromDay + days }));
    assert.deepEqual(
      lotNames([short!, long!], LIFE_WIDTHS.wide, across).map(({ text }) => text),
      ["L-25-07"],
    );
  });
});
