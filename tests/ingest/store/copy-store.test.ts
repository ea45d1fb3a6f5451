import assert from "node:assert/strict";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { describe, it, onTestFinished } from "vitest";
import { copyStore, openStore, type Store, StoreError } from "../../../ingest/index.ts";
import { batchOf } from "../../../ingest/store/reading-batch.ts";
import { scratchDatabase } from "../../support/scratch-database.ts";
import { contents, ingest, scratchFolder, writeFiles } from "../support/scratch.ts";
import { held, reading, TAKEN_IN, totals, way } from "./samples.ts";

const FIXTURES = fileURLToPath(new URL("../../fixtures/ingest", import.meta.url));
/** Everything that texts may hold, characters that one of the databases will not keep among it. */
const ODD = 'tab\t line\r\n back\\slash \\N "quotes" nothing\0here \uE000m \uE0000 ünicode \u{1F30A}';

async function opened(url: string): Promise<Store> {
  const store = await openStore(url);
  onTestFinished(() => store.close());
  return store;
}

const newFile = () => opened(`sqlite:${join(scratchFolder(), "new.sqlite")}`);

async function everything(store: Store) {
  return store.contents.read(async (from) => {
    const all: Record<string, unknown[]> = {};
    for (const table of await store.contents.tables()) {
      const rows: unknown[] = [];
      for await (const part of from.rows(table)) rows.push(...part.map((row) => named(table.columns, row)));
      all[table.name] = rows;
    }
    return all;
  });
}

function named(columns: readonly string[], row: readonly unknown[]) {
  return Object.fromEntries(columns.map((column, i) => [column, row[i]]));
}

async function storeWithEverything(): Promise<Store> {
  const store = await newFile();
  await ingest(store, FIXTURES);
  const intake = await store.beginFile("odd names.csv", TAKEN_IN);
  await intake.addReadings(
    batchOf([
      {
        ...reading,
        instrument: "Ünit 7",
        operator: ODD,
        checkId: ODD,
        readingMPaS: 1 / 3,
        temperatureC: 1e-300,
      },
      { ...reading, instrument: "unit 7", speedRpm: 0.1 + 0.2, flags: [], torquePercent: null, site: null },
    ]),
  );
  await intake.quarantine([{ ...held, raw: ODD, message: ODD }], way);
  await intake.commit(totals());
  await store.changeSettings({ setAtMs: 5, by: "A", why: null, fromDay: null, settings: "{}" });
  const [row] = await store.held.list({ state: "held" });
  const decision = {
    action: "dismissed",
    madeAtMs: 9,
    by: "B",
    why: "no use",
    outcome: "dismissed",
  } as const;
  await store.held.decide(row!.id, { ...decision, mend: null, reason: null, message: null, replaced: null });
  await store.bookings.add([{ instrument: "Ünit 7", week: "2026-W20", madeAtMs: 4, by: ODD, why: ODD }]);
  const accountId = await store.accounts.add({
    name: ODD,
    email: null,
    role: "reader",
    sites: [ODD],
    password: { digest: ODD, oneTimeUntilMs: 7 },
    subject: { issuer: "i", subject: "s" },
    disabledAtMs: null,
    madeAtMs: 1,
  });
  const [digest, endsAtMs] = ["d".repeat(64), Number.MAX_SAFE_INTEGER];
  await store.notices.subscribe({
    ...{ accountId, name: ODD, way: "webhook", address: ODD, secret: ODD, sites: [ODD] },
    ...{ atOnce: true, digest: null, timeZone: "UTC", chosenAtMs: 3 },
  });
  await store.accounts.beginSession({ digest, accountId, begunAtMs: 1, lastUsedAtMs: 2, endsAtMs });
  await store.accounts.countAttempt(ODD, 3, () => 8_640_000_000_000_000);
  return store;
}

describe("copying a store", () => {
  it("there and back comes to the same, row for row, and the copy goes on as the first would have", async () => {
    const first = await storeWithEverything();
    const server = await opened(await scratchDatabase());
    const back = await newFile();
    const counts = await copyStore(first, server);
    assert.deepEqual(await copyStore(server, back), counts);
    const expected = await everything(first);
    assert.ok(
      expected.reading!.length > 20 && expected.held_decision!.length === 1 && expected.session!.length === 1,
    );
    assert.deepEqual(await everything(server), expected);
    assert.deepEqual(await everything(back), expected);
    assert.deepEqual(
      counts,
      counts.map(({ table }) => ({ table, rows: expected[table]!.length })),
    );
    assert.deepEqual(await contents(server), await contents(first));

    const more = writeFiles({ "more.csv": "instrument,serviced_at,action\nnew unit,2026-03-01,adjusted\n" });
    for (const store of [first, server, back]) await ingest(store, more);
    assert.deepEqual(await everything(server), await everything(first));
    assert.deepEqual(await everything(back), await everything(first));
  });

  it("refuses a target that holds anything, and leaves it as it is", async () => {
    const first = await storeWithEverything();
    for (const target of [await newFile(), await opened(await scratchDatabase())]) {
      await ingest(target, writeFiles({ "a.csv": "instrument,model_class\nU-1,low torque\n" }));
      const before = await everything(target);
      await assert.rejects(
        copyStore(first, target),
        (error) => error instanceof StoreError && error.code === "store-not-empty",
      );
      assert.deepEqual(await everything(target), before);
    }
  });

  it("keeps nothing where a row does not come back as it was", async () => {
    const first = await storeWithEverything();
    for (const target of [await newFile(), await opened(await scratchDatabase())]) {
      const empty = await everything(target);
      const { contents: real } = target;
      const slipping = {
        ...target,
        contents: {
          tables: () => real.tables(),
          read: real.read.bind(real),
          replace: real.replace.bind(real),
          fill: (work: Parameters<typeof real.fill>[0]) =>
            real.fill((into) =>
              work({
                ...into,
                put: (table, rows) => into.put(table, table.name === "reading" ? rows.slice(1) : rows),
              }),
            ),
        },
      } as Store;
      await assert.rejects(
        copyStore(first, slipping),
        (error) =>
          error instanceof StoreError && error.code === "copy-differs" && /"reading"/.test(error.message),
      );
      assert.deepEqual(await everything(target), empty);
    }
  });
});
