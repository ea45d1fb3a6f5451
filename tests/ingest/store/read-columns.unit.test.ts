import assert from "node:assert/strict";
import { join } from "node:path";
import { beforeEach, describe, it, onTestFinished } from "vitest";
import { openStore } from "../../../ingest/index.ts";
import { batchOf } from "../../../ingest/store/reading-batch.ts";
import { connect } from "../../../ingest/store/sqlite/connection.ts";
import { readColumns } from "../../../ingest/store/sqlite/read-columns.ts";
import { scratchFolder } from "../support/scratch.ts";
import { reading, TAKEN_IN, totals } from "./samples.ts";

describe("readColumns, by two threads", () => {
  let file: string;
  beforeEach(async () => {
    file = join(scratchFolder(), "store.sqlite");
    const store = await openStore(`sqlite:${file}`);
    const intake = await store.beginFile("some.csv", TAKEN_IN);
    // Seven units with 1 to 7 checks of two readings; an even one has no lot.
    const rows = Array.from({ length: 7 }, (_, unit) => unit).flatMap((unit) =>
      Array.from({ length: 2 * (unit + 1) }, (_, i) => ({
        ...reading,
        instrument: `U-${unit}`,
        checkedAtMs: reading.checkedAtMs + 86_400_000 * Math.floor(i / 2),
        speedRpm: 10 + (i % 2),
        checkId: `C${Math.floor(i / 2)}`,
        fluidLot: unit % 2 === 0 ? null : `LOT-${unit}`,
        line: 2 + i,
      })),
    );
    await intake.addReadings(batchOf(rows));
    await intake.commit(totals({ accepted: rows.length, rows: rows.length }));
    await store.close();
  });

  const filters = {
    everything: {},
    "what was known on a day": { untilMs: reading.checkedAtMs + 3 * 86_400_000 },
    "what was known before all": { untilMs: 0 },
  };
  for (const [name, filter] of Object.entries(filters)) {
    it(`gives what one thread gives: ${name}`, async () => {
      const { raw } = connect(file);
      onTestFinished(() => raw.close());
      assert.deepEqual(await readColumns(raw, filter, 1), await readColumns(raw, filter));
    });
  }

  it("lets nothing between the halves: where a file comes in meanwhile, all is read anew", async () => {
    const { raw } = connect(file);
    onTestFinished(() => raw.close());
    const columns = readColumns(raw, {}, 1);
    const other = connect(file);
    other.raw.exec("DELETE FROM reading; UPDATE store_state SET revision = revision + 1");
    other.raw.close();
    const { count, line } = await columns;
    assert.ok(count === 0 || count === 56, `${count} readings are neither all nor none`);
    assert.equal(line.length, count);
  });
});
