import assert from "node:assert/strict";
import { writeFileSync } from "node:fs";
import { userInfo } from "node:os";
import { join } from "node:path";
import { DatabaseSync } from "node:sqlite";
import { afterEach, beforeEach, describe, it } from "vitest";
import { type RunningDoor, runDoor } from "../accounts/running-door.ts";
import { makeWorld, type World } from "../commands/run-command.ts";

const NOW = "2026-04-01T12:00:00Z";
const ME = userInfo().username;
const UNITS = "instrument,usage,site\nU-1,daily,North\nU-2,daily,North\n";
const REMARK = ["note", "remark", "U-1", "--on", "2026-03-01", "--why", "cleaned", "--by", "Ada"];

interface Entry {
  readonly number: number;
  readonly who: string;
  readonly way: string;
  readonly action: string;
  readonly about: string;
  readonly site: string | null;
  readonly after: Record<string, unknown> | null;
}

describe("springtide trail", () => {
  let world: World;
  beforeEach(async () => {
    world = makeWorld(NOW);
    writeFileSync(join(world.folder, "units.csv"), UNITS);
    await world.run(["ingest", join(world.folder, "units.csv")]);
    await world.run(REMARK);
  });
  afterEach(() => world.remove());

  const listed = async (...words: string[]) => {
    const { out } = await world.run(["trail", ...words, "--json"]);
    return (JSON.parse(out) as { entries: Entry[] }).entries;
  };

  it("lists what commands did, the newest last, by the account that ran them", async () => {
    const entries = await listed();
    assert.deepEqual(
      entries.map(({ number, who, way, action, site }) => [number, who, way, action, site]),
      [
        [1, ME, "command", "began", null],
        [2, ME, "command", "took-in", null],
        [3, ME, "command", "noted", "North"],
      ],
    );
    assert.equal(entries[2]!.after!.by, "Ada");
    const { out } = await world.run(["trail"]);
    assert.match(out, /number +when, UTC +who +by +what +about +site/);
    assert.match(out, /3 +2026-04-01 12:00 +\S.* +command +noted +U-1 +North/);
  });

  it("takes part of it", async () => {
    assert.deepEqual(
      (await listed("--about", "U-1")).map(({ action }) => action),
      ["noted"],
    );
    assert.equal((await listed("--who", "somebody else")).length, 0);
    assert.equal((await listed("--who", ME, "--since", "2026-04-01")).length, 3);
    assert.equal((await listed("--since", "2026-04-02")).length, 0);
    assert.equal((await world.run(["trail", "--who", "x"])).out, "There are no such entries.\n");
    assert.equal((await world.run(["trail", "--since", "soon"])).exitCode, 2);
  });

  it("verifies the chain, and that a hash that was written down is still in it", async () => {
    const first = await world.run(["trail", "verify"]);
    assert.equal(first.exitCode, 0);
    const [, head] = /^3 entries, all of 1 Apr 2026, .*\n\n {4}([0-9a-f]{64})\n/.exec(first.out)!;
    await world.run([...REMARK.slice(0, -3), "cleaned again"]);
    assert.equal((await world.run(["trail", "verify", "--against", head!])).exitCode, 0);
    const refused = await world.run(["trail", "verify", "--against", "12"]);
    assert.equal(refused.exitCode, 2);
    const other = await world.run(["trail", "verify", "--against", "0".repeat(64)]);
    assert.deepEqual([other.exitCode, other.out], [1, ""]);
    assert.match(other.said[0]!, /not in it: its end was cut off/);
  });

  it("says in one line where the chain is broken", async () => {
    const database = new DatabaseSync(world.store.slice("sqlite:".length));
    database.exec("DROP TRIGGER trail_no_update; UPDATE trail SET about = 'U-2' WHERE number = 3");
    database.close();
    const broken = await world.run(["trail", "verify"]);
    assert.deepEqual([broken.exitCode, broken.out, broken.said.length], [1, "", 1]);
    assert.match(broken.said[0]!, /^springtide: the trail is broken at entry 3/);
    const json = await world.run(["trail", "verify", "--json"]);
    assert.equal(json.exitCode, 1);
    assert.deepEqual(
      [
        (JSON.parse(json.out) as Record<string, unknown>).broken_at,
        (JSON.parse(json.out) as { whole: boolean }).whole,
      ],
      [3, false],
    );
  });
});

describe("the page of the trail", () => {
  let app: RunningDoor;
  beforeEach(async () => {
    app = await runDoor();
    await app.add("Ada", { role: "administrator" });
    await app.add("Mia", { role: "manager" });
  });
  afterEach(() => app.stop());

  it("shows administrators who did what, the newest first, in words that are safe", async () => {
    await app.add("<script>x</script>");
    const ada = await app.signedIn("Ada");
    const { status, body } = await ada.get("/trail");
    assert.equal(status, 200);
    assert.ok(body.indexOf("signed in: Ada") < body.indexOf("added person: Mia"), "the newest first");
    assert.ok(body.includes("added person: &lt;script>x") && !body.includes("<script>x"));
    assert.match(body, /5 changes are on record, the latest of 1 Apr 2026\./);
  });

  it("is for administrators only", async () => {
    const mia = await app.signedIn("Mia");
    assert.equal((await mia.get("/trail")).status, 403);
    assert.ok(!(await mia.get("/intake")).body.includes('href="/trail"'));
    assert.equal((await app.visitor().get("/trail")).status, 303);
  });

  it("has parts and forms for programs, and takes any address", async () => {
    for (let i = 0; i < 120; i++) await app.store.trail.append({ action: "noted", about: `U-${i % 2}` });
    const ada = await app.signedIn("Ada");
    const second = await ada.get("/trail?about=U-1&page=1&format=json");
    const { entries, total } = JSON.parse(second.body) as { entries: Entry[]; total: number };
    assert.deepEqual([entries.length, total, entries[0]!.about], [60, 60, "U-1"]);
    const csv = await ada.get("/trail?page=2&format=csv");
    assert.match(csv.body, /^number,at,who,way,action,about,site,before,after,previous,hash\r\n24,/);
    assert.match((await ada.get("/trail?page=2")).body, /Page 2 of 2/);
    for (const odd of ["page=-1", "page=9999", "page=x", "who[]=1", "about=%00"]) {
      assert.equal((await ada.get(`/trail?${odd}`)).status, 200, odd);
    }
  });
});
