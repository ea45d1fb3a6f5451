import assert from "node:assert/strict";
import { parse, View } from "vega";
import { describe, it } from "vitest";
import type { Chart, Layer } from "../../../dashboard/charts/chart.ts";
import { drawChart, liveSpecification } from "../../../dashboard/charts/draw.ts";
import { fleetChart } from "../../../dashboard/charts/fleet.ts";
import { livesChart } from "../../../dashboard/charts/lives.ts";
import { picturesOf } from "../../../dashboard/charts/pictures.ts";
import { fleetPicture } from "../../../dashboard/page-models/fleet-picture.ts";
import { livesOf } from "../../../dashboard/page-models/lives.ts";
import { fixtureAssessment } from "../support/fixture-fleet.ts";

const bars = (shape: string, change: Layer): Chart => ({
  shape,
  spec: {
    data: { values: [{ a: 1 }] },
    mark: "bar",
    encoding: { x: { field: "a", type: "quantitative" } },
    ...change,
  },
  data: {},
  values: {},
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
      const svg = await drawChart(bars(url, { data: { url, format: { type: "csv" } } }));
      assert.doesNotMatch(svg, /mark-rect role-mark[^>]*><path/);
    }
  });

  it("does not draw a specification that the compiler doubts", async () => {
    const doubtful = bars("doubtful", { encoding: { depth: { field: "a", type: "quantitative" } } });
    await assert.rejects(drawChart(doubtful), /^Error: chart specification: .*depth/);
  });

  it("shows each unit its own figures, though the specification is compiled once", async () => {
    const fleet = fixtureAssessment(40);
    const [a, b] = await Promise.all([fleet.unit("V-0029"), fleet.unit("V-0010")]);
    const draw = (view: typeof a): Promise<string> => drawChart(livesChart(livesOf(view!), "wide"));
    const first = await draw(a);
    assert.notEqual(await draw(b), first);
    assert.equal(await draw(a), first);
  });

  it("shows each band its own readings", async () => {
    const lives = livesOf((await fixtureAssessment(40).unit("V-0029"))!);
    const svg = await drawChart(livesChart(lives, "wide"));
    const places = lives.bands.map(({ band, points }) => {
      const [, marks] = svg.match(new RegExp(`own[-_]${band}_marks"[^>]*>(.*?)</g>`))!;
      const found = [...marks!.matchAll(/translate\(([^)]*)\)/g)].map(([, place]) => place);
      assert.equal(found.length, points.filter((point) => point.used).length);
      return found.join(" ");
    });
    assert.equal(new Set(places).size, 3);
  });

  it("gives the browser the same chart, rows and values in their places", async () => {
    const chart = livesChart(livesOf((await fixtureAssessment(40).unit("V-0029"))!), "wide");
    const spec = structuredClone(liveSpecification(chart));
    const view = new View(parse(spec), { renderer: "none" });
    assert.equal(await view.toSVG(), await drawChart(chart));
    view.finalize();
  });

  it("draws the lives of a unit that was never checked", async () => {
    const fleet = fixtureAssessment(200);
    const { assessment } = await fleet.current();
    const unjudged = assessment.units.find((unit) => unit.state === "unjudged")!;
    const lives = livesOf((await fleet.unit(unjudged.instrument))!);
    assert.match(await drawChart(livesChart(lives, "narrow")), /^<svg/);
  });
});
