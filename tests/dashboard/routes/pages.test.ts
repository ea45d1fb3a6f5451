import assert from "node:assert/strict";
import { parse } from "csv-parse/sync";
import { afterAll, beforeAll, describe, it } from "vitest";
import type { Assessment } from "../../../dashboard/assessment/views.ts";
import { fixtureAssessment } from "../support/fixture-fleet.ts";
import { type RunningApp, runApp } from "../support/running-app.ts";

const PAGES = [
  "/",
  "/units",
  "/units?site=Weir+End&state=at-risk&sort=due",
  "/units/V-0029",
  "/units/V-0029/checks",
  "/side-by-side?of=V-0029&of=V-0010%7E2025-01-01..2026-03-31",
  "/fluids",
  "/fluids/L-25-07",
  "/fluids/L-24-03?page=2",
  "/record",
  "/settings",
  "/findings",
  "/findings/V-0010/2026-03-27",
  "/intervals",
  "/intervals?advice=shorten&site=Weir+End",
  "/intervals?page=2",
  "/returns",
  "/returns?capacity=3&fix=V-0011%402026-W20&against=5%2C2%2C98&unit=V-0029&weeks=all",
];

let app: RunningApp;
beforeAll(async () => {
  app = await runApp(fixtureAssessment(60));
});
afterAll(() => app.stop());

async function text(path: string, status = 200): Promise<string> {
  const response = await app.get(path);
  assert.equal(response.status, status, path);
  return response.text();
}

describe("every page", () => {
  for (const path of PAGES) {
    const at = (format: string): string => `${path}${path.includes("?") ? "&" : "?"}format=${format}`;

    it(`${path} is whole without scripts`, async () => {
      const html = await text(path);
      assert.match(html, /^<!doctype html><html lang="en">/);
      assert.match(html, /<main id="content"[^>]*>[\s\S]*<h1[ >]/);
      assert.doesNotMatch(html, /<script(?![^>]*\ssrc="\/assets\/)/);
      assert.doesNotMatch(html, /\sstyle="|<style/);
    });

    it(`${path} has its figures as JSON and CSV at the same address`, async () => {
      const figures = JSON.parse(await text(at("json"))) as { as_of: string };
      assert.equal(figures.as_of, "2026-03-31");
      const rows = parse(await text(at("csv")), {
        columns: true,
        record_delimiter: "\r\n",
      }) as unknown as object[];
      assert.ok(rows.length > 0);
    });

    it(`${path} links to its figures and to nothing that is not there`, async () => {
      const html = await text(path);
      const links = [...html.matchAll(/href="(\/[^"#]*)/g)].map(([, href]) => href!.replaceAll("&amp;", "&"));
      assert.ok(links.includes(at("csv")), at("csv"));
      for (const href of new Set(links)) {
        // A unit's figures are there when its page is, without the time to draw it.
        const { status } = await app.get(/^\/units\/[^?/]+$/.test(href) ? `${href}?format=json` : href);
        assert.ok(status === 200 || status === 303, `${path} links to ${href}, which answers ${status}`);
      }
    });
  }
});

describe("the record", () => {
  it("is quoted on the front page, with a way to it", async () => {
    const html = await text("/");
    assert.match(
      html,
      /of 43 units given 20 to 40\u202f%, 12 went out \(<a href="\/record">the record<\/a>\)/,
    );
  });

  it("says how far it is while it is worked out, and keeps what stood there", async () => {
    const fixture = fixtureAssessment(20);
    const done = await fixture.record(true);
    const working = async (earlier: boolean) => {
      const view = { ...done, record: earlier ? done.record : null, isCurrent: false };
      const app = await runApp({
        ...fixture,
        record: async () => ({ ...view, progress: { done: 3, of: 11 } }),
      });
      try {
        return await (await app.get("/record")).text();
      } finally {
        await app.stop();
      }
    };
    const nothing = await working(false);
    assert.match(nothing, /3 of 11 days replayed/);
    assert.match(nothing, /<progress[^>]* max="11" value="3"/);
    assert.match(nothing, /data-shown="nothing"/);
    assert.match(
      await working(true),
      /data-shown="earlier"[\s\S]*of 43 units|of 43 units[\s\S]*data-shown="earlier"/,
    );
  });
});

describe("the plan for boxes and calendars", () => {
  it("lists what leaves in a week, site by site, each unit once", async () => {
    const { weeks } = JSON.parse(await text("/returns?capacity=4&format=json")) as {
      weeks: { week: string; units: string[] }[];
    };
    const { week, units } = weeks.find((candidate) => candidate.units.length > 1)!;
    const html = await text(`/returns/packing?capacity=4&week=${week}`);
    for (const unit of units) assert.equal(html.split(`href="/units/${unit}"`).length, 2, unit);
    assert.match(html, new RegExp(`^.*<h1>Week ${Number(week.slice(6))}: ${units.length} units leave`));
  });

  it("answers a calendar with its own type", async () => {
    const response = await app.get("/returns/calendar.ics?capacity=4");
    assert.match(response.headers.get("content-type")!, /^text\/calendar/);
    assert.match(await response.text(), /^BEGIN:VCALENDAR\r\n/);
  });

  it("names the weeks there are where one is asked for that is not", async () => {
    assert.match(await text("/returns/packing?week=2031-W01", 404), /The plan has no week 2031-W01/);
  });
});

describe("the table of units", () => {
  it("shows in each form what the address asks for", async () => {
    const { units } = JSON.parse(await text("/units?format=json&state=at-risk&site=Weir+End")) as {
      units: { instrument: string; site: string }[];
    };
    assert.ok(units.length > 0);
    const html = await text("/units?state=at-risk&site=Weir+End");
    for (const { instrument, site } of units) {
      assert.equal(site, "Weir End");
      assert.ok(html.includes(`href="/units/${instrument}"`));
    }
    assert.equal((html.match(/class="who"/g) ?? []).length, units.length);
  });

  it("says so where nothing is to be shown", async () => {
    assert.match(await text("/units?state=out&site=Tarn+House"), /No unit at Tarn House is out now/);
  });
});

describe("what cannot be answered", () => {
  const cases: [string, number, RegExp][] = [
    ["/nowhere", 404, /There is no page at this address/],
    ["/units/V-9999", 404, /No unit is called “V-9999”/],
    ["/fluids/L-99", 404, /No check was made with a fluid lot called “L-99”/],
    ["/fluids/L-25-07?page=77", 404, /page 77 is past its end/],
    ["/fluids/L-25-07?page=none", 400, /numbered from 1/],
    ["/units/V-9999/checks", 404, /No unit is called/],
    ["/units/V-0029/charts/odd", 404, /There is no such chart/],
    ["/charts/fleet?size=huge", 400, /size=narrow/],
    ["/units?state=broken", 400, /There is no state called “broken”/],
    ["/units?page=900", 404, /page 900 is past its end/],
    ["/?format=xml", 400, /format=json/],
    ["/units/%E0%A4%A", 400, /cannot be read/],
  ];
  for (const [path, status, words] of cases) {
    it(`${path} is answered with ${status} and a way out, as a page and as JSON`, async () => {
      const page = await app.get(path, { accept: "text/html" });
      assert.equal(page.status, status);
      assert.match(await page.text(), words);
      const json = await app.get(path, { accept: "application/json" });
      assert.equal(json.status, status);
      const { error } = (await json.json()) as {
        error: { status: number; message: string; way_out: string };
      };
      assert.equal(error.status, status);
      assert.ok(error.message.length > 0 && error.way_out.length > 0);
    });
  }

  it("tells a failure of ours to the log and not to the reader", async () => {
    const broken: Assessment = {
      current: () => Promise.reject(new Error("secret detail")),
      unit: () => Promise.reject(new Error("secret detail")),
      returns: () => Promise.reject(new Error("secret detail")),
      fluids: () => Promise.reject(new Error("secret detail")),
      record: () => Promise.reject(new Error("secret detail")),
      review: () => Promise.reject(new Error("secret detail")),
      standing: () => Promise.reject(new Error("secret detail")),
      course: () => Promise.reject(new Error("secret detail")),
      settingsPreview: () => Promise.reject(new Error("secret detail")),
      budgetCosts: () => Promise.reject(new Error("secret detail")),
    };
    const failing = await runApp(broken);
    try {
      const response = await failing.get("/");
      assert.equal(response.status, 500);
      assert.doesNotMatch(await response.text(), /secret detail/);
      assert.deepEqual(failing.reported.map(String), ["Error: secret detail"]);
    } finally {
      await failing.stop();
    }
  });
});

describe("the finder without scripts", () => {
  it("opens a unit, site or lot that is named in full", async () => {
    for (const [sought, href] of [
      ["v-0029", "/units/V-0029"],
      ["Sallow Bay", "/units?site=Sallow+Bay"],
      ["l-25-07", "/fluids/L-25-07"],
    ]) {
      const response = await app.get(`/find?q=${encodeURIComponent(sought!)}`);
      assert.equal(response.status, 303);
      assert.equal(response.headers.get("location"), href);
    }
  });

  it("lists what holds the words, names that begin with them first", async () => {
    const { found, total } = JSON.parse(await text("/find?format=json&q=l-2")) as {
      found: { kind: string; name: string }[];
      total: number;
    };
    assert.equal(total, 3);
    assert.deepEqual(new Set(found.map(({ kind }) => kind)), new Set(["lot"]));
    assert.match(await text("/find?q=zzz"), /Nothing is called “zzz”/);
    assert.match(await text("/find?q="), /What are you looking for/);
  });
});
