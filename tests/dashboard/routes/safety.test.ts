import assert from "node:assert/strict";
import { afterAll, beforeAll, describe, it } from "vitest";
import type { Assessment, FleetView, UnitView } from "../../../dashboard/assessment/views.ts";
import { CommandError } from "../../../dashboard/commands/errors.ts";
import { startServer } from "../../../dashboard/server.ts";
import { fixtureAssessment } from "../support/fixture-fleet.ts";
import { type RunningApp, runApp } from "../support/running-app.ts";

const HOSTILE = `=1+1"><script>alert('x')</script>/../%`;

/** A fleet in which every name that a file may bring in is hostile. */
async function hostileFleet(): Promise<Assessment> {
  const fleet = fixtureAssessment(40);
  const view = await fleet.current();
  const unit = (await fleet.unit("V-0029"))!;
  const forecasts = view.assessment.units.map((forecast) => ({
    ...forecast,
    instrument: HOSTILE,
    site: HOSTILE,
    note: HOSTILE,
  }));
  const current: FleetView = {
    ...view,
    assessment: {
      ...view.assessment,
      units: forecasts,
      lots: view.assessment.lots.map((lot) => ({ ...lot, fluidLot: HOSTILE })),
    },
    sites: [{ site: HOSTILE, checksOnTime: 0.5, scatter: null }],
  };
  const hostileUnit: UnitView = {
    ...unit,
    instrument: { ...unit.instrument, instrument: HOSTILE, site: HOSTILE, modelClass: HOSTILE },
    forecast: {
      ...unit.forecast,
      instrument: HOSTILE,
      note: HOSTILE,
      basis: { ...unit.forecast.basis!, explanations: [{ name: HOSTILE, weight: 1 }] },
    },
    readings: unit.readings.map((reading) => ({
      ...reading,
      fluidLot: HOSTILE,
      geometry: HOSTILE,
      operator: HOSTILE,
      file: HOSTILE,
    })),
    lots: unit.lots.map((lot) => ({ ...lot, fluidLot: HOSTILE })),
  };
  return {
    current: async () => current,
    review: fleet.review,
    standing: fleet.standing,
    course: fleet.course,
    settingsPreview: fleet.settingsPreview,
    budgetCosts: fleet.budgetCosts,
    unit: async (instrument) => (instrument === HOSTILE ? hostileUnit : null),
    record: async (start) => {
      const { record, ...rest } = await fleet.record(start);
      const backTest = record!.backTest!;
      const forecasts = backTest.forecasts.map((forecast) => ({ ...forecast, instrument: HOSTILE }));
      return { ...rest, record: { ...record!, backTest: { ...backTest, forecasts } } };
    },
    fluids: async () => {
      const { lots, baths, ...rest } = await fleet.fluids();
      return {
        ...rest,
        baths: baths.map((bath) => ({ ...bath, site: HOSTILE, kelvin: 1 })),
        lots: lots.map(({ assessment, inFull, certificate }) => ({
          assessment: { ...assessment, fluidLot: HOSTILE, note: HOSTILE },
          inFull: {
            ...inFull,
            fluidLot: HOSTILE,
            units: inFull.units.map((unit) => ({
              ...unit,
              instrument: HOSTILE,
              site: HOSTILE,
              sideBySide: false,
            })),
          },
          certificate,
        })),
      };
    },
    returns: async (questions) => {
      const { plans, ...rest } = await fleet.returns(questions);
      const hostile = plans.map((plan) => ({
        ...plan,
        units: plan.units.map((planned) => ({
          ...planned,
          workshop: HOSTILE,
          unit: { ...planned.unit, instrument: HOSTILE, site: HOSTILE },
        })),
      }));
      return { ...rest, plans: hostile };
    },
  };
}

let app: RunningApp;
beforeAll(async () => {
  app = await runApp(await hostileFleet());
});
afterAll(() => app.stop());

const named = encodeURIComponent(HOSTILE);
const PAGES = [
  "/",
  "/units",
  `/units?site=${named}`,
  `/units/${named}`,
  `/units/${named}/checks`,
  `/find?q=${encodeURIComponent("<script>")}`,
  "/fluids",
  `/fluids/${named}`,
  "/returns?weeks=all",
  "/returns/packing",
];

describe("hostile names", () => {
  it("are text on every page, also in the pictures", async () => {
    for (const path of PAGES) {
      const response = await app.get(path);
      assert.equal(response.status, 200, path);
      const html = await response.text();
      assert.doesNotMatch(html, /<script>alert/, path);
      assert.match(html, /&lt;script(&gt;|>)/, path);
    }
  });

  it("are not formulas in a spreadsheet", async () => {
    for (const path of [
      "/units?format=csv",
      "/returns?format=csv",
      "/fluids?format=csv",
      "/record?format=csv",
      `/fluids/${named}?format=csv`,
      `/units/${named}/checks?format=csv`,
    ]) {
      const csv = await (await app.get(path)).text();
      assert.match(csv, /"'=1\+1/);
      assert.doesNotMatch(csv, /(^|,)"?=1/m);
    }
  });

  it("keep their unit's page reachable", async () => {
    assert.equal((await app.get(`/units/${named}?format=json`)).status, 200);
  });
});

describe("every answer", () => {
  it("carries the strict content policy and no cross-site invitation", async () => {
    for (const path of [...PAGES, "/assets/style.css", "/health", "/nowhere"]) {
      const { headers } = await app.get(path);
      const policy = headers.get("content-security-policy") ?? "";
      assert.match(policy, /default-src 'none'/, path);
      assert.doesNotMatch(policy, /unsafe|https?:|\*|data:/, path);
      assert.equal(headers.get("x-content-type-options"), "nosniff");
      assert.equal(headers.get("access-control-allow-origin"), null);
      assert.equal(headers.get("x-powered-by"), null);
    }
  });

  it("comes compressed where asked for", async () => {
    const response = await app.get("/units", { "accept-encoding": "gzip" });
    assert.equal(response.headers.get("content-encoding"), "gzip");
  });

  it("is not sent again while it has not changed", async () => {
    for (const path of ["/", "/assets/style.css"]) {
      const etag = (await app.get(path)).headers.get("etag");
      assert.ok(etag);
      assert.equal(
        (await app.get(path, { "if-none-match": etag, "cache-control": "max-age=0" })).status,
        304,
      );
    }
  });
});

describe("assets", () => {
  it("are all there, with their kinds", async () => {
    const kinds: [string, RegExp][] = [
      ["style.css", /text\/css/],
      ["finder.js", /text\/javascript/],
      ["charts.js", /text\/javascript/],
      ["progress.js", /text\/javascript/],
      ["live-chart.js", /text\/javascript/],
      ["mark.svg", /image\/svg/],
      ["source-sans.woff2", /font\/woff2/],
      ["source-serif-ext.woff2", /font\/woff2/],
    ];
    for (const [name, kind] of kinds) {
      const response = await app.get(`/assets/${name}`);
      assert.equal(response.status, 200, name);
      assert.match(response.headers.get("content-type") ?? "", kind);
    }
  });

  it("are only those: no way leads to the disk", async () => {
    for (const name of ["..%2Fpackage.json", "%2e%2e%2fapp.ts", "styles%2Fpage.css", "constructor"]) {
      assert.equal((await app.get(`/assets/${name}`)).status, 404, name);
    }
  });
});

describe("a server", () => {
  it("says in one line that its port is in use", async () => {
    const port = Number(new URL(app.url).port);
    await assert.rejects(
      startServer({ assessment: fixtureAssessment(1), port, host: "127.0.0.1" }),
      (error) =>
        error instanceof CommandError && error.message.includes(`port ${port} on 127.0.0.1 is in use`),
    );
  });

  it("gives its port back when it stops", async () => {
    const first = await runApp(fixtureAssessment(1));
    const port = Number(new URL(first.url).port);
    assert.deepEqual(await (await first.get("/health")).json(), { status: "up" });
    await first.stop();
    const again = await startServer({ assessment: fixtureAssessment(1), port, host: "127.0.0.1" });
    await again.close();
  });
});
