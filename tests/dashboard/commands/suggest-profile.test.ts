import assert from "node:assert/strict";
import { existsSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterAll, describe, it } from "vitest";
import { makeWorld } from "./run-command.ts";

const world = makeWorld("2026-04-01T09:00:00Z");
afterAll(() => world.remove());

describe("springtide ingest FILE --suggest-profile", () => {
  const file = join(world.folder, "checks.csv");
  writeFileSync(file, "Device;Date;Speed (1/s);Reading [Pa.s]\nU1;02.03.2026 10:00;0,2;0,0951\n");

  it("prints a profile alone, and beside it how sure it is; no store comes to be", async () => {
    const { out, said, exitCode } = await world.run(["ingest", file, "--suggest-profile"]);
    assert.equal(exitCode, 0);
    const profile = JSON.parse(out);
    assert.deepEqual(profile.units, { speed_rpm: "1/s", reading_mpas: "Pa.s" });
    assert.equal(profile.dates, "d.M.yyyy H:mm");
    assert.match(said.join("\n"), /Device +instrument +sure/);
    assert.equal(existsSync(join(world.folder, "store.sqlite")), false);
  });

  it("with --json prints all of it", async () => {
    const { out, said } = await world.run(["ingest", file, "--suggest-profile", "--json"]);
    assert.deepEqual(Object.keys(JSON.parse(out)), ["profile", "columns", "notes"]);
    assert.deepEqual(said, []);
  });

  it("takes one file", async () => {
    assert.equal((await world.run(["ingest", file, file, "--suggest-profile"])).exitCode, 2);
    const missing = await world.run(["ingest", join(world.folder, "none.csv"), "--suggest-profile"]);
    assert.equal(missing.exitCode, 1);
    assert.equal(missing.said.length, 1);
  });
});
