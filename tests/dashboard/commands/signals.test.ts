import assert from "node:assert/strict";
import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterAll, beforeAll, describe, it } from "vitest";
import { demoFleet } from "../../../dashboard/demo/demo-fleet.ts";
import { writeFleet } from "../../../dashboard/demo/fleet-files.ts";
import { DEFAULT_SETTINGS } from "../../../dashboard/settings.ts";
import { makeWorld, type World } from "./run-command.ts";

const AS_OF = "2026-03-31";

describe("springtide signals and settings on an invented fleet", () => {
  let world: World;
  beforeAll(async () => {
    world = makeWorld(`${AS_OF}T12:00:00Z`);
    const fleet = demoFleet({ asOf: AS_OF, units: 20, seed: 9, years: 2 });
    writeFleet(join(world.folder, "files"), fleet, { forms: "as-sent" });
    await world.run(["ingest", join(world.folder, "files")]);
  });
  afterAll(() => world.remove());

  const json = async (...words: string[]) => JSON.parse((await world.run([...words, "--json"])).out);
  const set = async (settings: unknown, ...more: string[]) => {
    const file = join(world.folder, "some.json");
    writeFileSync(file, typeof settings === "string" ? settings : JSON.stringify(settings));
    return world.run(["settings", "--set", file, ...more]);
  };

  it("signals lists what was raised in the words of the contract, oldest first, up to a day and since one", async () => {
    const { budget, signals, review } = await json("signals");
    assert.deepEqual(Object.keys(budget), ["false_alarms_per_month", "streams", "run_length"]);
    assert.equal(budget.false_alarms_per_month, 1);
    assert.ok(signals.length > 0 && Array.isArray(review));
    for (const { on, chart, quantity, size, limit, note } of signals) {
      assert.ok(on <= AS_OF);
      assert.match(chart, /^(level|step|scatter)$/);
      assert.match(quantity, /^(zero|span|nonlinearity|low|medium|high)$/);
      assert.ok(Math.abs(size) > limit);
      assert.match(note, /\.$/);
    }
    const days = signals.map((s: { on: string }) => s.on);
    assert.deepEqual(days, [...days].sort());
    const middle = days[Math.floor(days.length / 2)];
    const later = await json("signals", "--since", middle);
    assert.deepEqual(
      later.signals,
      signals.filter((s: { on: string }) => s.on >= middle),
    );
    const earlier = await json("signals", "--as-of", "2025-06-30");
    assert.ok(earlier.signals.every((s: { on: string }) => s.on <= "2025-06-30"));
  });

  it("signals gives the same answer the second time, when its limits are kept", async () => {
    assert.deepEqual(await json("signals"), await json("signals"));
  });

  it("signals in words says the budget first", async () => {
    const { out, exitCode } = await world.run(["signals", "--since", "2026-01-01"]);
    assert.equal(exitCode, 0);
    assert.match(out, /^Limits allow 1\.0 false alarms a month over /);
    const { said, exitCode: bad } = await world.run(["signals", "--since", "yesterday"]);
    assert.equal(bad, 2);
    assert.match(said.join(), /--since takes a date/);
  });

  it("settings are the defaults until somebody sets others, for everybody and from then on", async () => {
    const before = await json("settings");
    assert.deepEqual(before, DEFAULT_SETTINGS);
    const narrow = { tolerance: { accessory_percent: 0 }, alarms: { per_month_per_100_units: 40 } };
    const { out, exitCode } = await set(narrow, "--by", "K. Thal");
    assert.equal(exitCode, 0);
    assert.match(out, /^In force since 31 Mar 2026, set by K\. Thal: no reason given\./);
    const after = await json("settings");
    assert.equal(after.tolerance.accessory_percent, 0);
    assert.equal(after.tolerance.fluid_percent, 1);
    assert.deepEqual(await json("settings", "--as-of", "2026-03-30"), before);
    assert.equal((await json("signals")).budget.false_alarms_per_month, 8);
    assert.equal((await json("signals", "--as-of", "2026-03-30")).budget.false_alarms_per_month, 1);
  });

  it("settings --preview says what a change would do and keeps nothing; the table leaves no setting out", async () => {
    const before = await json("settings");
    const strict = { tolerance: { fluid_percent: 0.2, instrument_percent: 0.2, accessory_percent: 0.2 } };
    const { exitCode, out } = await set(strict, "--preview");
    assert.equal(exitCode, 0);
    assert.match(out, /Tolerance, fluid: .* \u2192 0\.2 % of its value/);
    assert.match(out, /would change their state, and .* would have been judged otherwise/);
    assert.match(out, /Nothing has been kept/);
    assert.deepEqual(await json("settings"), before);
    const table = (await world.run(["settings"])).out;
    for (const name of [
      "planning.workshops",
      "planning.closed_weeks",
      "tolerance.per_geometry",
      "check_every_days.daily",
    ])
      assert.match(table, new RegExp(`^${name.replaceAll(".", "\\.")} +`, "m"));
    assert.equal((await world.run(["settings", "--preview"])).exitCode, 2);
  });

  it("settings refuses a name that does not exist and a value outside its range, and names both", async () => {
    const refused: readonly (readonly [unknown, RegExp])[] = [
      [{ tolerence: {} }, /no setting "tolerence"/],
      [{ tolerance: { fluid: 1 } }, /no setting "tolerance\.fluid"/],
      [{ temperature: { allowed_k: 9 } }, /temperature\.allowed_k .* at most 5/],
      [{ alarms: { per_month_per_100_units: 0 } }, /alarms\.per_month_per_100_units .* above 0/],
      [{ reliability_target: "high" }, /reliability_target .* a number/],
      [{ tolerance: { combine: "both" } }, /tolerance\.combine .* one of linear, root-sum-square/],
      ["[1]", /JSON object/],
      ["{", /is no JSON/],
    ];
    const before = await json("settings");
    for (const [settings, expected] of refused) {
      const { exitCode, said } = await set(settings);
      assert.equal(exitCode, 1);
      assert.equal(said.length, 1);
      assert.match(said[0]!, expected);
    }
    const missing = await world.run(["settings", "--set", join(world.folder, "none.json")]);
    assert.match(missing.said.join(), /no settings file .*none\.json/);
    assert.deepEqual(await json("settings"), before);
  });
});
