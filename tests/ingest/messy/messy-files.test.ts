import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { ingest, NOW, scratchStore, writeFiles } from "../support/scratch.ts";
import { messyFiles, ORDER } from "./messy-files.ts";
import type { HeldPlace } from "./write-files.ts";

const FLAGS = ["temperature-off", "torque-low", "lot-expired", "lot-unknown", "looks-nominal", "outlier"];

function byPlace(a: HeldPlace, b: HeldPlace): number {
  return a.line - b.line || a.part - b.part || a.reason.localeCompare(b.reason);
}

describe("messy files of six sites, in six forms", () => {
  for (const seed of [1, 2, 3]) {
    it(`come to what was planted in them, row for row and line for line (seed ${seed})`, async () => {
      const { files, expected } = messyFiles(seed, NOW);
      const folder = writeFiles(files);
      const store = await scratchStore();
      const report = await ingest(store, folder);
      const held = await store.quarantined();
      for (const {
        file,
        rows,
        accepted,
        repeated,
        quarantined,
        flagged,
        reasons,
        flags,
        error,
      } of report.files) {
        assert.equal(error, null, file);
        const name = file.slice(folder.length + 1);
        const places = held
          .filter((row) => row.file === file)
          .map(({ line, part, reason }) => ({ line, part, reason }))
          .sort(byPlace);
        expected[name]?.held.sort(byPlace);
        const found = { rows, accepted, repeated, quarantined, flagged, reasons, flags, held: places };
        const planted = expected[name]!;
        assert.deepEqual(found, { ...planted, held: planted.held.toSorted(byPlace) }, name);
      }
      assert.deepEqual(
        report.files.map(({ file }) => file.slice(folder.length + 1)).sort(),
        Object.keys(expected).sort(),
      );
    });
  }

  it("hold every reason and every flag in every site's file", () => {
    const { expected } = messyFiles(1, NOW);
    const readings = Object.entries(expected).filter(([, { held }]) => held.length > 20);
    assert.equal(readings.length, 6);
    for (const [name, { reasons, flags, repeated }] of readings) {
      assert.deepEqual(Object.keys(reasons).sort(), [...ORDER].sort(), name);
      assert.deepEqual(Object.keys(flags).sort(), [...FLAGS].sort(), name);
      assert.ok(repeated >= 5);
    }
  });
});
