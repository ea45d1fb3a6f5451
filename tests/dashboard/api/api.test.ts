import assert from "node:assert/strict";
import fc from "fast-check";
import { afterAll, beforeAll, describe, it } from "vitest";
import { ALL_DOORS } from "../../../dashboard/access/doors.ts";
import { ENDPOINTS } from "../../../dashboard/api/endpoints.ts";
import { openApi } from "../../../dashboard/api/openapi.ts";
import { Visitor } from "../accounts/visitor.ts";
import { fixtureAssessment } from "../support/fixture-fleet.ts";
import { type RunningApp, runApp } from "../support/running-app.ts";

let app: RunningApp;
let unit: string;
beforeAll(async () => {
  const assessment = fixtureAssessment(60);
  app = await runApp(assessment);
  const { instruments } = await assessment.current();
  unit = "V-0029";
  const rows = [...instruments.values()].map(({ instrument, site }) => `${instrument},daily,${site}\n`);
  await send("/api/intake?name=units.csv", `instrument,usage,site\n${rows.join("")}`, "text/csv");
  await send(
    "/api/intake?name=checks.csv",
    `instrument,checked_at,speed_rpm,full_scale_range_mpas,reading_mpas,fluid_value_mpas\n${unit},2026-03-30T08:00:00Z,60,200,x,95\n`,
    "text/csv",
  );
});
afterAll(() => app.stop());

function send(path: string, body: string, type = "application/json", headers: Record<string, string> = {}) {
  return fetch(app.url + path, { method: "POST", body, headers: { "content-type": type, ...headers } });
}

const post = (path: string, body: unknown, headers = {}) =>
  send(path, JSON.stringify(body), "application/json", headers);

/** A path of an endpoint that there is something at. */
function filled(path: string): string {
  const values: Record<string, string> = { instrument: unit, lot: "", day: "2026-03-27", number: "1" };
  if (path === "/findings/:instrument/:day") values.instrument = "V-0010";
  return path.replaceAll(/:(\w+)/g, (_, name: string) => encodeURIComponent(values[name]!));
}

async function problemOf(answer: Response) {
  assert.match(answer.headers.get("content-type") ?? "", /^application\/problem\+json/);
  const problem = await answer.json();
  assert.equal(problem.status, answer.status);
  for (const key of ["type", "title", "detail", "instance"]) assert.equal(typeof problem[key], "string", key);
  return problem;
}

describe("every endpoint", () => {
  for (const one of ENDPOINTS.filter(({ method }) => method === "GET")) {
    it(`GET /api${one.path} answers as it is described`, async () => {
      let path = filled(one.path);
      if (one.path === "/fluids/:lot") {
        const { lots } = await (await app.get("/api/fluids")).json();
        path = `/fluids/${encodeURIComponent(lots[0].fluid_lot)}`;
      }
      const answer = await app.get(`/api${path}`);
      const body = await answer.json();
      assert.equal(answer.status, 200, JSON.stringify(body).slice(0, 300));
      one.answer.parse(body);
      const tag = answer.headers.get("etag")!;
      assert.match(tag, /^"[^"]+"$/);
      // fetch would ask for a fresh answer by itself.
      const again = await new Visitor(app.url, app.url, "").get(`/api${path}`, { "if-none-match": tag });
      assert.equal(again.status, 304);
    });
  }

  it("stands in the list of doors with the same action, and no other address does", () => {
    const doors = ALL_DOORS.filter(({ door }) => / \/api\//.test(door)).map(
      ({ door, action }) => `${door} ${action}`,
    );
    const described = ENDPOINTS.map(({ method, path, action }) => `${method} /api${path} ${action}`);
    assert.deepEqual(
      doors.sort(),
      [...described, "POST /api/intake take-in", "GET /api/openapi.json read"].sort(),
    );
  });

  it("never fails on whatever is asked", { timeout: 60_000 }, async () => {
    const anything = fc.oneof(
      fc.string(),
      fc.integer().map(String),
      fc.constant("../../etc"),
      fc.constant("%00"),
    );
    await fc.assert(
      fc.asyncProperty(
        fc.constantFrom(...ENDPOINTS),
        anything,
        anything,
        anything,
        async (one, a, b, value) => {
          const path = one.path.replaceAll(/:(\w+)/g, () => encodeURIComponent(a) || "x");
          const query = new URLSearchParams({
            limit: b,
            offset: value,
            site: a,
            since: b,
            capacity: value,
            state: b,
          });
          const answer =
            one.method === "GET"
              ? await app.get(`/api${path}?${query}`)
              : await post(`/api${path}`, {
                  why: a,
                  by: b,
                  action: value,
                  values: { [a]: b },
                  settings: { [a]: value },
                });
          assert.ok(answer.status < 500, `${one.method} ${path}?${query}: ${answer.status}`);
          if (answer.status >= 400) await problemOf(answer);
        },
      ),
      { numRuns: 150, seed: 8 },
    );
    assert.deepEqual(app.reported, []);
  });
});

describe("a list", () => {
  it("comes in parts that name each other, and all of them once", async () => {
    const names: string[] = [];
    let path: string | null = "/api/units?limit=25";
    while (path !== null) {
      const answer = await app.get(path);
      const { units, total } = await answer.json();
      assert.equal(total, 60);
      names.push(...units.map(({ instrument }: { instrument: string }) => instrument));
      path = /<([^>]+)>; rel="next"/.exec(answer.headers.get("link") ?? "")?.[1] ?? null;
    }
    assert.equal(new Set(names).size, 60);
    assert.equal(names.length, 60);
  });

  it("is cut by site and state", async () => {
    const { units } = await (await app.get("/api/units?site=Ashmere&limit=1000")).json();
    assert.ok(units.length > 0 && units.every(({ site }: { site: string }) => site === "Ashmere"));
  });
});

describe("what is amiss", () => {
  it("is told as a problem, with the way out", async () => {
    assert.match((await problemOf(await app.get("/api/units/none"))).title, /No unit is called/);
    const { errors } = await problemOf(await app.get("/api/units?limit=0&state=broken"));
    assert.deepEqual(errors.map(({ where }: { where: string }) => where).sort(), ["limit", "state"]);
    assert.equal((await problemOf(await app.get("/api/nothing"))).status, 404);
    const wrongWay = await fetch(`${app.url}/api/units`, { method: "DELETE" });
    assert.equal(wrongWay.headers.get("allow"), "GET");
    assert.equal((await problemOf(wrongWay)).status, 405);
    assert.equal((await problemOf(await send("/api/held/1", "why=x", "text/plain"))).status, 415);
    assert.equal((await problemOf(await send("/api/held/1", "{"))).status, 400);
    assert.equal((await problemOf(await post("/api/held/1", { why: "x".repeat(2_000_000) }))).status, 413);
  });
});

describe("a change", () => {
  it("settles a held row, with who and why", async () => {
    const { held } = await (await app.get("/api/held")).json();
    assert.equal(held.length, 1);
    const path = `/api/held/${held[0].number}`;
    assert.equal((await problemOf(await post(path, { action: "dismiss", why: "seen" }))).status, 422);
    const answer = await post(path, { action: "dismiss", why: "a slip of the pen", by: "Ada" });
    const row = await answer.json();
    assert.deepEqual([row.state, row.decisions[0].by], ["dismissed", "Ada"]);
    assert.equal(
      (await problemOf(await post(path, { action: "dismiss", why: "again", by: "Ada" }))).status,
      409,
    );
  });

  it("notes a remark on a unit, and refuses a day to come", async () => {
    const path = `/api/units/${unit}/notes`;
    const { number } = await (
      await post(path, { kind: "remark", on: "2026-03-01", why: "cleaned", by: "Ada" })
    ).json();
    assert.equal((await app.store.judgements()).find(({ id }) => id === number)?.why, "cleaned");
    const refused = await post(path, { kind: "remark", on: "2030-01-01", why: "cleaned", by: "Ada" });
    assert.equal((await problemOf(refused)).status, 422);
  });

  it("of the settings says what it has seen, and is refused where that is old", async () => {
    const seen = (await app.get("/api/settings")).headers.get("etag")!;
    const change = { settings: { reliability_target: 0.9 }, why: "a trial", by: "Ada" };
    assert.equal((await problemOf(await post("/api/settings", change))).status, 428);
    const done = await post("/api/settings", change, { "if-match": seen });
    assert.equal((await done.json()).reliability_target, 0.9);
    assert.equal((await problemOf(await post("/api/settings", change, { "if-match": seen }))).status, 412);
    const none = { ...change, settings: { no_such: 1 } };
    const refused = await post("/api/settings", none, { "if-match": done.headers.get("etag")! });
    assert.match((await problemOf(refused)).title, /no_such/);
  });

  it("records a finding and decides on it", async () => {
    const path = "/api/findings/V-0010/2026-03-27";
    const found = await (await post(path, { why: "as-found check", by: "Ada", decision: "retest" })).json();
    assert.equal(found.record.decisions.at(-1).decision, "retest");
  });
});

describe("the description", () => {
  it("is an OpenAPI 3.1 document that describes every endpoint once", async () => {
    const document = await (await app.get("/api/openapi.json")).json();
    assert.deepEqual(document, JSON.parse(JSON.stringify(openApi(ENDPOINTS))));
    assert.match(document.openapi, /^3\.1\.\d+$/);
    const ids = new Set<string>();
    for (const [path, ways] of Object.entries<Record<string, never>>(document.paths)) {
      for (const [method, operation] of Object.entries<{
        operationId: string;
        parameters: { name: string; in: string; required: boolean }[];
        responses: Record<string, unknown>;
      }>(ways)) {
        assert.ok(["get", "post"].includes(method));
        assert.ok(!ids.has(operation.operationId), operation.operationId);
        ids.add(operation.operationId);
        const named = [...path.matchAll(/\{(\w+)\}/g)].map(([, name]) => name);
        const inPath = operation.parameters.filter((parameter) => parameter.in === "path");
        assert.deepEqual(inPath.map(({ name }) => name).sort(), named.sort(), path);
        assert.ok(inPath.every(({ required }) => required));
        assert.ok("200" in operation.responses && "default" in operation.responses);
      }
    }
    assert.equal(ids.size, ENDPOINTS.length + 1);
  });

  it("is to be read as a page", async () => {
    const page = await (await app.get("/api", { accept: "text/html" })).text();
    for (const { path } of ENDPOINTS) assert.ok(page.includes(path.replaceAll(/:(\w+)/g, "{$1}")), path);
  });
});
