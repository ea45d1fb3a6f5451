import assert from "node:assert/strict";
import { parse, View } from "vega";
import { describe, it } from "vitest";
import type { Chart, Layer } from "../../../dashboard/charts/chart.ts";
import { drawChart, liveSpecification } from "../../../dashboard/charts/draw.ts";
import { fleetChart } from "../../../dashboard/charts/fleet.ts";
import { linearityChart } from "../../../dashboard/charts/linearity.ts";
import { picturesOf } from "../../../dashboard/charts/pictures.ts";
import { fleetPicture } from "../../../dashboard/page-models/fleet-picture.ts";
import { linearityOf } from "../../../dashboard/page-models/linearity.ts";
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

const linearityOfUnit = async (instrument: string): Promise<Chart> =>
  linearityChart(linearityOf((await fixtureAssessment(40).unit(instrument))!));

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
    const svg = await drawChart(await linearityOfUnit("V-0029"));
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
    const [a, b] = await Promise.all(["V-0029", "V-0010"].map(linearityOfUnit));
    const first = await drawChart(a!);
    assert.notEqual(await drawChart(b!), first);
    assert.equal(await drawChart(a!), first);
  });

  it("gives the browser the same chart, rows and values in their places", async () => {
    const chart = await linearityOfUnit("V-0029");
    const spec = structuredClone(liveSpecification(chart));
    const view = new View(parse(spec), { renderer: "none" });
    assert.equal(await view.toSVG(), await drawChart(chart));
    view.finalize();
  });
});
