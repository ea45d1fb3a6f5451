import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { compileChart, drawChart } from "../../../dashboard/charts/draw.ts";
import { fleetChart } from "../../../dashboard/charts/fleet.ts";
import { livesChart } from "../../../dashboard/charts/lives.ts";
import { picturesOf } from "../../../dashboard/charts/pictures.ts";
import { fleetPicture } from "../../../dashboard/page-models/fleet-picture.ts";
import { livesOf } from "../../../dashboard/page-models/lives.ts";
import { fixtureAssessment } from "../support/fixture-fleet.ts";

const bars = (data: unknown) => ({
  data,
  mark: "bar",
  encoding: { x: { field: "a", type: "quantitative" } },
});

describe("drawing", () => {
  it("writes nothing that a strict content policy would refuse", async () => {
    const { assessment } = await fixtureAssessment(200).current();
    const pictures = await picturesOf((size) => fleetChart(fleetPicture(assessment), size));
    assert.deepEqual(
      pictures.map(({ size }) => size),
      ["narrow", "middle", "wide"],
    );
    for (const { svg } of pictures) assert.doesNotMatch(svg, /\sstyle=|<script|<style|\son\w+=|xlink:href=/);
  });

  it("takes its colours from the style sheet, so that light, dark and print are one drawing", async () => {
    const lives = livesOf((await fixtureAssessment(40).unit("V-0029"))!);
    const svg = await drawChart(livesChart(lives, "wide"));
    assert.match(svg, /fill="var\(--water\)"/);
    assert.doesNotMatch(svg, /(fill|stroke)="(#|rgb|black|white|steelblue)/);
  });

  it("loads nothing, from the disk or from elsewhere", async () => {
    for (const url of ["/etc/hostname", "file:///etc/hostname", "http://127.0.0.1:9/"]) {
      const svg = await drawChart(bars({ url, format: { type: "csv" } }));
      assert.doesNotMatch(svg, /mark-rect role-mark[^>]*><path/);
    }
  });

  it("does not draw a specification that the compiler doubts", () => {
    const doubtful = {
      ...bars({ values: [{ a: 1 }] }),
      encoding: { depth: { field: "a", type: "quantitative" } },
    };
    assert.throws(() => compileChart(doubtful), /^Error: chart specification: .*depth/);
  });

  it("draws the lives of a unit that was never checked", async () => {
    const fleet = fixtureAssessment(200);
    const { assessment } = await fleet.current();
    const unjudged = assessment.units.find((unit) => unit.state === "unjudged")!;
    const lives = livesOf((await fleet.unit(unjudged.instrument))!);
    assert.match(await drawChart(livesChart(lives, "narrow")), /^<svg/);
  });
});
