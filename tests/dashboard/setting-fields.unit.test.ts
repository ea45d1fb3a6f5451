import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { differencesOf, rangeOf, settingsFromForm, valueAt } from "../../dashboard/setting-fields.ts";
import { DEFAULT_SETTINGS } from "../../dashboard/settings.ts";
import { mergeSettings } from "../../dashboard/settings-in-force.ts";
import { EVERY_SETTING } from "../../dashboard/wording/settings.ts";

const form = (fields: Record<string, string>) =>
  settingsFromForm(DEFAULT_SETTINGS, new Map(Object.entries(fields)));

describe("every setting", () => {
  it("has words, and every word has its setting", () => {
    const paths: string[] = [];
    const walk = (value: unknown, path: string): void => {
      const isTree =
        typeof value === "object" &&
        value !== null &&
        !Array.isArray(value) &&
        path !== "planning.criticality";
      if (!isTree) paths.push(path);
      else
        for (const [name, inner] of Object.entries(value))
          walk(inner, path === "" ? name : `${path}.${name}`);
    };
    walk({ ...DEFAULT_SETTINGS, tolerance: { ...DEFAULT_SETTINGS.tolerance, per_geometry: undefined } }, "");
    const known = EVERY_SETTING.map(({ path }) => path);
    assert.deepEqual(paths.filter((path) => path !== "tolerance.per_geometry").sort(), known.toSorted());
  });

  it("with a range takes what lies in it and refuses what lies beside it", () => {
    for (const { path } of EVERY_SETTING) {
      const range = rangeOf(path);
      if (range === null) continue;
      const set = (value: number) =>
        mergeSettings(
          DEFAULT_SETTINGS,
          path.split(".").reduceRight<unknown>((v, name) => ({ [name]: v }), value),
        );
      for (const [end, belongs, beyond] of [
        [range.least, range.leastBelongs, range.least - 1],
        [range.most, range.mostBelongs, range.most + 1],
      ] as const) {
        if (belongs) assert.equal(valueAt(set(end), path), end, path);
        else assert.throws(() => set(end), new RegExp(path.replaceAll(".", "\\.")));
        assert.throws(() => set(beyond), new RegExp(path.replaceAll(".", "\\.")));
      }
    }
  });
});

describe("a form", () => {
  it("puts what it names in the place of what is in force, with either decimal mark", () => {
    const settings = form({
      "tolerance.fluid_percent": "0,5",
      "temperature.correct": "true",
      reliability_target: "97.5",
    });
    assert.equal(settings.tolerance.fluid_percent, 0.5);
    assert.equal(settings.temperature.correct, true);
    assert.equal(settings.reliability_target, 0.975);
    assert.deepEqual(differencesOf(DEFAULT_SETTINGS, settings), [
      "tolerance.fluid_percent",
      "temperature.correct",
      "reliability_target",
    ]);
  });

  it("gives a geometry with any name a rule of its own, and takes it away", () => {
    const own = form({ "tolerance.per_geometry.cup.B 2.accessory_percent": "0" });
    assert.deepEqual(own.tolerance.per_geometry, { "cup.B 2": { accessory_percent: 0 } });
    assert.deepEqual(differencesOf(DEFAULT_SETTINGS, own), ["tolerance.per_geometry.cup.B 2"]);
    const none = settingsFromForm(own, new Map([["tolerance.per_geometry.cup.B 2.accessory_percent", ""]]));
    assert.deepEqual(none, DEFAULT_SETTINGS);
  });

  it("changes nothing where it is empty", () => {
    assert.deepEqual(form({}), DEFAULT_SETTINGS);
    assert.deepEqual(form({ "tolerance.fluid_percent": "" }), DEFAULT_SETTINGS);
  });

  it.each([
    ["tolerance.fluid_percent", "much", /Fluid: \u201cmuch\u201d is no number/],
    ["tolerance.fluid_percent", "0", /tolerance\.fluid_percent cannot be so: it must be above 0/],
    ["reliability_target", "101", /reliability_target cannot be so: it must be below 1/],
    ["tolerance.combine", "both", /tolerance\.combine cannot be so: it must be one of linear/],
  ])("says in one line why %s cannot be %s", (path, text, message) => {
    assert.throws(() => form({ [path]: text }), message);
  });
});
