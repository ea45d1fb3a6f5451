import assert from "node:assert/strict";
import { afterAll, beforeAll, describe, it } from "vitest";
import { type RunningDoor, runDoor } from "../accounts/running-door.ts";
import type { Answer, Visitor } from "../accounts/visitor.ts";
import { fixtureAssessment } from "../support/fixture-fleet.ts";

/** V-0010 is a unit of Ashmere, V-0009 one of Weir End. */
const OWN = { site: "Ashmere", unit: "V-0010" };
const OTHER = { site: "Weir End", unit: "V-0009" };
const HEADER = "instrument,checked_at,speed_rpm,full_scale_range_mpas,reading_mpas,fluid_value_mpas,site";

let door: RunningDoor;
let root: Visitor;
let own: Visitor;
beforeAll(async () => {
  [door, root, own] = await withTwo();
});
afterAll(() => door.stop());

/** A dashboard with the units of the fixture, somebody who sees all, and somebody who sees one site. */
async function withTwo(): Promise<[RunningDoor, Visitor, Visitor]> {
  const assessment = fixtureAssessment(60);
  const opened = await runDoor({}, assessment);
  await opened.add("Root", { role: "administrator" });
  await opened.add("Own", { role: "manager", sites: [OWN.site] });
  const [all, limited] = [await opened.signedIn("Root"), await opened.signedIn("Own")];
  const { instruments } = await assessment.current();
  const rows = [...instruments.values()].map(({ instrument, site }) => `${instrument},daily,${site}`);
  await send(all, "units.csv", ["instrument,usage,site", ...rows].join("\n"));
  assert.equal(instruments.get(OWN.unit)!.site, OWN.site);
  assert.equal(instruments.get(OTHER.unit)!.site, OTHER.site);
  return [opened, all, limited];
}

function send(who: Visitor, name: string, csv: string): Promise<Answer> {
  return who.send("POST", `/api/intake?name=${name}`, csv, { "content-type": "text/csv" });
}

/** One reading; without a value it is held back. */
function reading(unit: string, minute: number, site = "", value = "95.2"): string {
  return `${unit},2026-03-30T08:${String(minute).padStart(2, "0")}:00Z,60,200,${value},95,${site}`;
}

/** Pictures count their clips through. */
function same(a: Answer, b: Answer): boolean {
  return a.body.replaceAll(/clip\d+/g, "clip") === b.body.replaceAll(/clip\d+/g, "clip");
}

/** Does something and says whether the store is as it was. */
async function leavesAll(work: () => Promise<unknown>): Promise<boolean> {
  const before = await door.store.revision();
  await work();
  return (await door.store.revision()) === before;
}

describe("what was made for one reader", () => {
  it("is not what another one gets who sees less or more", { timeout: 60_000 }, async () => {
    const lot = "/fluids/L-2401";
    const paths = ["/", "/fluids", "/returns", "/record", "/worth-a-look", "/intervals", "/charts/fleet"];
    const lots = [...(await root.get("/fluids")).body.matchAll(/href="(\/fluids\/[^"?#]+)"/g)].map(
      ([, path]) => path!,
    );
    paths.push(...new Set(lots.length > 0 ? lots.slice(0, 2) : [lot]));
    const [other, otherRoot, otherOwn] = await withTwo();
    try {
      for (const path of paths) {
        // Here who sees all asks first, there who sees one site.
        const [rootFirst, ownSecond] = [await root.get(path), await own.get(path)];
        const [ownFirst, rootSecond] = [await otherOwn.get(path), await otherRoot.get(path)];
        assert.equal(rootFirst.status, 200, path);
        assert.ok(same(ownSecond, ownFirst), `${path}: another page for who sees one site`);
        assert.ok(same(rootSecond, rootFirst), `${path}: another page for who sees all`);
        assert.ok(!same(ownFirst, rootFirst), `${path}: the same page for both`);
      }
    } finally {
      await other.stop();
    }
  });

  it("is kept by no one else on the way", async () => {
    for (const path of ["/", "/units?format=csv", "/api/units"]) {
      assert.match(String((await own.get(path)).headers["cache-control"]), /private|no-store/, path);
    }
  });
});

describe("somebody who sees one site", () => {
  it("neither reads nor takes back a note on a unit of another", async () => {
    const form = { kind: "remark", on: "2026-03-30", why: "cleaned, secretly" };
    const kept = await root.post(`/units/${OTHER.unit}/notes`, form);
    const address = /\/units\/[^#]+/.exec(kept.headers.location!)![0];
    const id = /\d+$/.exec(kept.headers.location!)![0];
    const note = address.includes("/notes/") ? address : `${address}/notes/${id}`;
    assert.equal((await root.get(note)).status, 200);
    assert.equal((await own.get(note)).status, 404);
    assert.ok(
      await leavesAll(async () => {
        const answer = await own.post(note, { why: "not mine", by: "Own" });
        assert.equal(answer.status, 404);
        assert.doesNotMatch(answer.body, /secretly/);
      }),
    );
  });

  it("cannot mend a row into one of another site's", async () => {
    await send(root, "mend.csv", `${HEADER}\n${reading(OWN.unit, 1, OWN.site, "x")}\n`);
    const [row] = await door.store.held.list({ file: "mend.csv" });
    assert.equal((await own.get(`/intake/held/${row!.id}`)).status, 200);
    const mends = [
      { "new-instrument": OTHER.unit, "new-reading_mpas": "95.1" },
      { "new-site": OTHER.site, "new-reading_mpas": "95.1" },
      { "new-instrument": OTHER.unit },
    ];
    for (const mend of mends) {
      assert.ok(
        await leavesAll(async () => {
          const form = { action: "mend", by: "Own", why: "typed wrong", ...mend };
          const answer = await own.post(`/intake/held/${row!.id}`, form as Record<string, string>);
          assert.equal(answer.status, 409);
          assert.match(answer.body, /no unit of your sites/);
        }),
        JSON.stringify(mend),
      );
    }
    const order = { action: "mend-row", row: reading(OTHER.unit, 1), by: "Own", why: "typed wrong" };
    const answer = await own.send("POST", `/api/held/${row!.id}`, JSON.stringify(order), {
      "content-type": "application/json",
    });
    assert.equal(answer.status, 409, answer.body);
    // What is one's own is mended.
    const right = { action: "mend", by: "Own", why: "read again", "new-reading_mpas": "95.1" };
    assert.equal((await own.post(`/intake/held/${row!.id}`, right)).status, 303);
    assert.equal((await door.store.held.find(row!.id))!.state, "accepted");
  });

  it("cannot settle, by number or all at once, what was held back at another", async () => {
    await send(root, "theirs.csv", `${HEADER}\n${reading(OTHER.unit, 2, OTHER.site, "x")}\n`);
    const [row] = await door.store.held.list({ file: "theirs.csv" });
    for (const action of ["dismiss", "release", "mend", "replace"]) {
      const form = { action, by: "Own", why: "away with it", "new-reading_mpas": "95" };
      assert.equal((await own.post(`/intake/held/${row!.id}`, form)).status, 404, action);
    }
    await own.post("/intake/held", { by: "Own", why: "all again", file: "theirs.csv" });
    const { state, decisions } = (await door.store.held.find(row!.id))!;
    assert.deepEqual([state, decisions.length], ["held", 0]);
  });

  it("sends for that site only, whichever way and whatever stands in the file", async () => {
    const stored = reading(OTHER.unit, 3, OTHER.site);
    await send(root, "stored.csv", `${HEADER}\n${stored}\n`);
    const files = {
      "a row of another site after many of one's own": [
        ...Array.from({ length: 20 }, (_, i) => reading(OWN.unit, 10 + i)),
        reading(OTHER.unit, 4),
      ],
      "one's own unit, said to be elsewhere": [reading(OWN.unit, 5, OTHER.site)],
      "another's unit, said to be here": [reading(OTHER.unit, 6, OWN.site)],
      "a row that would be held back": [reading(OTHER.unit, 7, "", "x")],
      "a unit that nobody knows, elsewhere": [reading("V-9999", 8, OTHER.site)],
      "what is stored already": [stored],
      "what contradicts what is stored": [reading(OTHER.unit, 3, OTHER.site, "90")],
    };
    for (const [what, rows] of Object.entries(files)) {
      const csv = [HEADER, ...rows, ""].join("\n");
      const boundary = "----part";
      const form = `--${boundary}\r\nContent-Disposition: form-data; name="file"; filename="f.csv"\r\nContent-Type: text/csv\r\n\r\n${csv}\r\n--${boundary}--\r\n`;
      const ways = [
        () => send(own, "f.csv", csv),
        () =>
          own.send("POST", "/api/intake", form, {
            "content-type": `multipart/form-data; boundary=${boundary}`,
          }),
      ];
      for (const way of ways) {
        assert.ok(
          await leavesAll(async () => {
            const { files: reports } = JSON.parse((await way()).body);
            assert.match(reports[0].error ?? "", /no unit of your sites/, what);
            assert.doesNotMatch(reports[0].error, /95\.2/);
          }),
          what,
        );
      }
    }
    const mine = JSON.parse(
      (await send(own, "mine.csv", `${HEADER}\n${reading(OWN.unit, 9, OWN.site)}\n`)).body,
    );
    assert.deepEqual([mine.files[0].error, mine.totals.accepted], [null, 1]);
  });

  it("is told that what concerns all sites is not for them, and sees no way to it", async () => {
    const page = await own.get("/settings");
    assert.doesNotMatch(page.body, /See what this would do/);
    assert.match((await root.get("/settings")).body, /See what this would do/);
    const asked = "/settings?reliability_target=93";
    const preview = await own.get(asked);
    assert.equal(preview.status, 403);
    assert.match(preview.body, /concerns all sites, and you see some of them/);
    assert.equal((await root.get(asked)).status, 200);
    assert.match((await root.get("/")).body, /readings from/);
    assert.doesNotMatch((await own.get("/")).body, /readings from/);
  });
});
