import assert from "node:assert/strict";
import { afterAll, beforeAll, describe, it } from "vitest";
import { ALL_DOORS } from "../../../dashboard/access/doors.ts";
import { type RunningDoor, runDoor } from "../accounts/running-door.ts";
import type { Answer, Visitor } from "../accounts/visitor.ts";
import { fixtureAssessment } from "../support/fixture-fleet.ts";

const OWN = "Ashmere";

let door: RunningDoor;
/** Names that somebody of {@link OWN} is never to see. */
let others: readonly string[];
let otherUnit: string;
beforeAll(async () => {
  const assessment = fixtureAssessment(60);
  door = await runDoor({}, assessment);
  const { instruments, sites } = await assessment.current();
  const elsewhere = [...instruments.values()].filter(({ site }) => site !== OWN);
  otherUnit = elsewhere[0]!.instrument;
  others = [
    ...sites.map(({ site }) => site).filter((site) => site !== OWN),
    ...elsewhere.map((unit) => unit.instrument),
  ];
  await door.add("Root", { role: "administrator" });
  await door.add("Own", { role: "manager", sites: [OWN] });
  const root = await door.signedIn("Root");
  const rows = [...instruments.values()].map(({ instrument, site }) => `${instrument},daily,${site}\n`);
  const send = (name: string, csv: string) =>
    root.send("POST", `/api/intake?name=${name}`, csv, { "content-type": "text/csv" });
  await send("all-sites-Weir-End.csv", `instrument,usage,site\n${rows.join("")}`);
  // One row of each site is held back.
  await send(
    "held.csv",
    `instrument,checked_at,speed_rpm,full_scale_range_mpas,reading_mpas,fluid_value_mpas,site\n${[
      ...instruments.values(),
    ]
      .map(({ instrument, site }) => `${instrument},2026-03-30T08:00:00Z,60,200,x,95,${site}\n`)
      .join("")}`,
  );
});
afterAll(() => door.stop());

/** Addresses of our own that an answer names. */
function linksIn({ body }: Answer): string[] {
  return [...body.matchAll(/(?:href|action|data-chart|data-strip)="(\/[^"#]*)/g)].map(([, path]) =>
    path!.replaceAll("&amp;", "&"),
  );
}

/** Everything that can be reached by links, with its figures; a page of a kind is looked at some times only. */
async function crawl(visitor: Visitor, most: number): Promise<Map<string, Answer>> {
  const seen = new Map<string, Answer>();
  const kinds = new Map<string, number>();
  const waiting = [
    "/",
    "/side-by-side",
    "/charts/fleet",
    "/charts/returns",
    "/returns/packing",
    "/returns/calendar.ics",
    ...ALL_DOORS.map(({ door: one }) => one)
      .filter((one) => /^GET \/api\/[^:]*$/.test(one))
      .map((one) => one.slice("GET ".length)),
  ];
  while (waiting.length > 0) {
    const path = waiting.shift()!;
    const kind = path.replace(/\?.*/, "").replaceAll(/\/[^/]*\d[^/]*/g, "/N");
    const count = kinds.get(kind) ?? 0;
    if (seen.has(path) || path.startsWith("/assets") || path === "/sign-out" || count >= most) continue;
    kinds.set(kind, count + 1);
    const answer = await visitor.get(path);
    seen.set(path, answer);
    if (String(answer.headers["content-type"]).includes("html")) waiting.push(...linksIn(answer));
  }
  return seen;
}

/** The part of a page that an answer would show of what is not to be seen. */
function shown(answer: Answer): string | null {
  const found = others.find((name) => answer.body.includes(name));
  if (found === undefined) return null;
  const at = answer.body.indexOf(found);
  return answer.body.slice(Math.max(0, at - 120), at + 60);
}

describe("somebody who sees one site", () => {
  it("finds nothing of another one, whatever links are followed", { timeout: 120_000 }, async () => {
    // Whatever is kept has then been made for somebody who sees all.
    const all = await crawl(await door.signedIn("Root"), 2);
    assert.ok([...all.values()].filter((answer) => shown(answer) !== null).length > 20);
    const pages = await crawl(await door.signedIn("Own"), 12);
    assert.ok(pages.size > 60, `${pages.size} pages`);
    for (const [path, answer] of pages) {
      assert.ok(answer.status < 500, `${path}: ${answer.status}`);
      assert.equal(shown(answer), null, path);
    }
    assert.deepEqual(door.reported, []);
  });

  it("nor by guessing addresses", async () => {
    const own = await door.signedIn("Own");
    for (const path of [
      `/units/${otherUnit}`,
      `/units/${otherUnit}?format=json`,
      `/units/${otherUnit}/checks?format=csv`,
      `/units/${otherUnit}/watch/zero`,
      `/units/${otherUnit}/charts/lives`,
      `/units/${otherUnit}/notes`,
      `/side-by-side?unit=${otherUnit}`,
      `/findings/${otherUnit}/2026-03-27`,
      `/returns?unit=${otherUnit}`,
      `/returns?fix=${otherUnit}@2026-W20`,
      `/units?site=Weir+End`,
      `/find?q=${otherUnit}`,
      `/worth-a-look?site=Weir+End`,
      `/api/units/${otherUnit}`,
      `/api/units/${otherUnit}/checks`,
      `/api/units?site=Weir+End`,
      `/api/held?site=Weir+End`,
      `/api/held?instrument=${otherUnit}`,
      `/api/findings/V-0029/2025-12-31`,
      `/findings/V-0029/2025-12-31`,
      `/units/${otherUnit}/notes/1`,
      `/intake?site=Weir+End`,
      ...Array.from({ length: 60 }, (_, i) => `/intake/held/${i + 1}`),
    ]) {
      const answer = await own.get(path);
      // What was asked for may be said back, and nothing about it.
      const asked = decodeURIComponent(path).replaceAll("+", " ");
      const told = others
        .filter((name) => asked.includes(name))
        .reduce((body, name) => body.replaceAll(name, ""), answer.body);
      assert.equal(shown({ ...answer, body: told }), null, path);
    }
  });

  it("sees rows held back at that site, and none of another", async () => {
    const own = await door.signedIn("Own");
    const { held } = JSON.parse((await own.get("/intake?format=json")).body);
    const all = JSON.parse((await (await door.signedIn("Root")).get("/intake?format=json")).body).held;
    assert.ok(held.length > 0 && held.length < all.length);
    assert.ok(held.every((row: { site: string }) => row.site === OWN));
  });
});

describe("whoever is not signed in", () => {
  const nowhere = (path: string) => path.replaceAll(/:(\w+)/g, "1");

  it("gets nothing but the sign-in, wherever they ask", async () => {
    for (const { door: address, action } of ALL_DOORS.filter((one) => one.action !== "open")) {
      const [method, path] = address.split(" ") as [string, string];
      const stranger = door.visitor();
      const answer = await stranger.send(method, nowhere(path), method === "GET" ? null : "");
      if (method === "GET" && !path.startsWith("/api/")) {
        assert.deepEqual(
          [answer.status, answer.headers.location?.split("?")[0]],
          [303, "/sign-in"],
          `${address} ${action}`,
        );
      } else assert.equal(answer.status, 401, address);
      assert.equal(shown(answer), null, address);
      const figures = await stranger.get(`${nowhere(path)}?format=json`);
      assert.equal(figures.status, 401, address);
    }
  });

  it("learns by no answer what there is and what not", async () => {
    const stranger = door.visitor();
    const [there, not] = [await stranger.get(`/units/${otherUnit}`), await stranger.get("/units/none")];
    assert.deepEqual(
      [there.status, there.body.length],
      [not.status, not.body.length + (otherUnit.length - 4) * 1],
    );
    assert.equal((await stranger.get("/no/such/page")).status, 303);
  });

  it("may not pass by another way of writing an address", async () => {
    const stranger = door.visitor();
    for (const path of [
      "/units/",
      "//units",
      "/Units",
      "/units/%2e%2e/settings",
      "/assets/../units",
      "/sign-in/../units",
      "/health/../units?format=json",
    ]) {
      const answer = await stranger.get(path);
      assert.ok([303, 401, 404, 400].includes(answer.status), `${path}: ${answer.status}`);
      assert.equal(shown(answer), null, path);
    }
  });
});
