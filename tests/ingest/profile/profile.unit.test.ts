import assert from "node:assert/strict";
import { join } from "node:path";
import { describe, it } from "vitest";
import { loadProfile } from "../../../ingest/profile/load-profile.ts";
import { writeFiles } from "../support/scratch.ts";

const load = (content: string) =>
  loadProfile(join(writeFiles({ "p.profile.json": content }), "p.profile.json"));

describe("loadProfile", () => {
  it("takes every key that the documentation names", async () => {
    const profile = await load(
      JSON.stringify({
        name: "Brackwater",
        columns: { "Their header": "reading_mpas", "Speed 2": "speed_rpm_2" },
        units: { reading_mpas: "Pa.s", temperature_c: "degF" },
        decimal: ",",
        delimiter: ";",
        encoding: "windows-1252",
        dates: "dd.MM.yyyy HH:mm:ss",
        time_zone: "Europe/Berlin",
        constants: { site: "Brackwater", temperature_c: 25 },
        stages: { "Their Word": "as_found" },
      }),
    );
    assert.deepEqual(profile.form, { encoding: "windows-1252", delimiter: ";" });
    assert.deepEqual(profile.times, { zone: "Europe/Berlin", format: "dd.MM.yyyy HH:mm:ss" });
    assert.equal(profile.decimal, ",");
    assert.equal(profile.columns.get("Their header"), "reading_mpas");
    assert.equal(profile.toOwnUnit.reading_mpas?.(0.095), 95);
    assert.deepEqual(profile.constants, { site: "Brackwater", temperature_c: 25 });
    assert.equal(profile.stageWords.get("their word"), "as_found");
  });

  it("is told apart by what it says", async () => {
    const [one, same, other] = await Promise.all([
      load('{"decimal":","}'),
      load('{ "decimal": "," }'),
      load("{}"),
    ]);
    assert.equal(one.sha256, same.sha256);
    assert.notEqual(one.sha256, other.sha256);
  });

  it("knows encodings by their other names too", async () => {
    const encodingOf = async (name: string) => (await load(JSON.stringify({ encoding: name }))).form.encoding;
    assert.equal(await encodingOf("UTF8"), "utf-8");
    assert.equal(await encodingOf("Latin1"), "windows-1252");
    assert.equal(await encodingOf("UTF-16BE"), "utf-16be");
    // Its mark says which side comes first.
    assert.equal(await encodingOf("UTF-16"), undefined);
    await assert.rejects(encodingOf("ebcdic"), /encoding: /);
  });

  it("names what it does not know, and where", async () => {
    const wrong: [string, RegExp][] = [
      ['{"colums": {}}', /does not know the key "colums"; known are name, columns, units/],
      ['{"columns": {"A": "reading"}}', /columns → A: "reading" is not a column that is known/],
      [
        '{"units": {"reading_mpas": "furlong"}}',
        /units → reading_mpas: "furlong" is not a unit of it; known are mPa\.s, Pa\.s/,
      ],
      ['{"units": {"operator": "m"}}', /units → operator: has no unit/],
      ['{"units": {"op": "m"}}', /units → op: "op" is not a column that is known/],
      ['{"time_zone": "Mars/Olympus"}', /time_zone: "Mars\/Olympus" is not a time zone/],
      ['{"delimiter": ";;"}', /delimiter: must be one character/],
      ['{"stages": {"x": "later"}}', /stages → x: /],
      ["[]", /cannot be used: /],
      ["{", /it is not JSON/],
    ];
    for (const [content, message] of wrong) await assert.rejects(load(content), message);
    await assert.rejects(loadProfile("/no/such.profile.json"), /cannot be used: there is no such file/);
  });
});
