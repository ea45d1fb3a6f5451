import assert from "node:assert/strict";
import { join } from "node:path";
import { describe, it } from "vitest";
import { IngestError } from "../../../ingest/index.ts";
import { openFile } from "../../../ingest/open-file.ts";
import { NO_PROFILE } from "../../../ingest/profile/profile.ts";
import { judgeFile } from "../../../ingest/readings/judge-file.ts";
import { RangeConstants } from "../../../ingest/readings/range-constants.ts";
import { contents, ingest, NOW, scratchStore, writeFiles } from "../support/scratch.ts";

const HEADER =
  "instrument,checked_at,speed_rpm,full_scale_range_mpas,reading_mpas,fluid_value_mpas,check_id,site";

/** Checks of some units: most of their rows plain, some in quotes, some that nobody can use. */
function rowsOf(checks: number): string[] {
  return Array.from({ length: checks }, (_, c) => {
    const time = new Date(Date.parse("2025-01-01T08:00:00Z") + Math.floor(c / 40) * 86_400_000).toISOString();
    const unit = `U-${c % 40}`;
    const site = c % 101 === 0 ? '"Quay, north"' : `Aldermoor laboratory of ${unit}`;
    return [30, 45, 60].map((speed, i) => {
      const reading = c % 211 === 0 && i === 1 ? "much" : c % 97 === 0 && i === 2 ? 107 : 95.5;
      return [unit, time, speed, 12_000 / speed, reading, 95, `check ${c}`, site].join();
    });
  }).flat();
}

const asCsv = (rows: readonly string[]) => [HEADER, ...rows, ""].join("\n");
const asJsonLines = (rows: readonly string[]) => {
  const columns = HEADER.split(",");
  const fields = (row: string) => row.replace('"Quay, north"', "Quay north").split(",");
  return rows
    .map((row) => JSON.stringify(Object.fromEntries(fields(row).map((text, i) => [columns[i], text]))))
    .join("\n");
};

const collected = async (rows: readonly string[], parts: number, written = asCsv) => {
  const size = Math.ceil(rows.length / parts);
  const folder = writeFiles(
    Object.fromEntries(
      Array.from({ length: parts }, (_, i) => [
        `${i}.${written === asCsv ? "csv" : "ndjson"}`,
        written(rows.slice(i * size, (i + 1) * size)),
      ]),
    ),
  );
  const store = await scratchStore();
  const { totals } = await ingest(store, folder);
  const { readings, quarantined } = await contents(store);
  await store.close();
  const withoutLine = (row: string) => row.replace(/"(line|fileId|id)":\d+,?/g, "");
  return { totals, readings: readings.map(withoutLine).sort(), held: quarantined.length };
};

describe("a file that is worth a second thread", () => {
  it("comes to the same as its parts, which are not", async () => {
    const rows = rowsOf(16_000);
    assert.ok(rows.join("\n").length > 4 * 1_048_576);
    const whole = await collected(rows, 1);
    assert.ok(whole.held > 50 && whole.totals.flagged > 50);
    assert.deepEqual(await collected(rows, 4), whole);
  });

  it("does so where its rows are objects", async () => {
    const rows = rowsOf(8000);
    assert.ok(asJsonLines(rows).length > 4 * 1_048_576);
    const whole = await collected(rows, 1, asJsonLines);
    assert.ok(whole.held > 25 && whole.totals.flagged > 25);
    assert.deepEqual(await collected(rows, 4, asJsonLines), whole);
  });

  it("is refused in the words of the thread that reads it", async () => {
    const folder = writeFiles({ "a.csv": asCsv(rowsOf(5)) });
    const file = await openFile(join(folder, "a.csv"), NO_PROFILE);
    const by = {
      ranges: new RangeConstants(),
      registers: { instruments: new Map(), fluids: new Map(), geometries: new Map() },
      nowMs: NOW,
    };
    const judged = judgeFile({ ...file, bytes: 5_000_000 }, by, () => undefined);
    await assert.rejects(
      async () => {
        for await (const batch of judged) assert.equal(batch.objected.length, 1);
      },
      (error) => error instanceof IngestError && error.code === "file-changed",
    );
  });
});
