import assert from "node:assert/strict";
import { createHash } from "node:crypto";
import {
  appendFileSync,
  existsSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  writeFileSync,
} from "node:fs";
import { basename, join } from "node:path";
import { DatabaseSync } from "node:sqlite";
import { fileURLToPath } from "node:url";
import { describe, it, onTestFinished } from "vitest";
import {
  type Backup,
  backUp,
  IngestError,
  openStore,
  proveTrail,
  restore,
  type Store,
} from "../../ingest/index.ts";
import { DATABASES } from "./support/databases.ts";
import { contents, ingest, NOW, scratchFolder, scratchStore, writeFiles } from "./support/scratch.ts";

const FIXTURES = fileURLToPath(new URL("../fixtures/ingest", import.meta.url));
const LATER = { "later.csv": "instrument,serviced_at,action\nnew unit,2026-03-01,adjusted\n" };
const UNITS = { "units.csv": "instrument,usage,site\nU-1,daily,Quay\n" };

/** Files, people, a session and a token. */
async function fill(store: Store): Promise<Store> {
  await ingest(store, FIXTURES);
  await store.changeSettings({ setAtMs: NOW, by: "Ada", why: null, fromDay: null, settings: '{"a":1}' });
  const accountId = await store.accounts.add({
    name: "Ada",
    email: null,
    role: "administrator",
    sites: null,
    password: { digest: "argon", oneTimeUntilMs: null },
    subject: null,
    disabledAtMs: null,
    madeAtMs: NOW,
  });
  const times = { begunAtMs: NOW, lastUsedAtMs: NOW, endsAtMs: NOW + 1000 };
  await store.accounts.beginSession({ digest: "d".repeat(64), accountId, ...times });
  await store.accounts.addToken({
    ...{ digest: "e".repeat(64), accountId, label: "robot", role: "reader", sites: null },
    ...{ madeAtMs: NOW, endsAtMs: NOW + 1000, revokedAtMs: null },
  });
  return store;
}

async function opened(file: string): Promise<Store> {
  const store = await openStore(`sqlite:${file}`, { create: false });
  onTestFinished(() => store.close());
  return store;
}

async function refusal(work: Promise<unknown>): Promise<IngestError> {
  try {
    await work;
  } catch (error) {
    assert.ok(error instanceof IngestError, String(error));
    assert.equal(error.message.split("\n").length, 1);
    return error;
  }
  throw new Error("it was done");
}

const people = async ({ accounts }: Store) => (await accounts.list()).map(({ name }) => name);

describe.each(DATABASES)("a backup of a store %s", (_, emptyStore) => {
  it("is one file with everything but what lets people in at the moment, and its digest beside it", async () => {
    const store = await fill(await emptyStore());
    const folder = scratchFolder();
    const file = join(folder, "b.sqlite");
    const { sha256, tables, trail } = await backUp(store, file);
    assert.deepEqual(readdirSync(folder).sort(), ["b.sqlite", "b.sqlite.sha256"]);
    assert.equal(statSync(file).mode & 0o777, 0o600);
    assert.equal(createHash("sha256").update(readFileSync(file)).digest("hex"), sha256);
    assert.equal(readFileSync(`${file}.sha256`, "utf8"), `${sha256}  b.sqlite\n`);
    assert.deepEqual(trail, await proveTrail(store.trail));
    assert.ok(tables.find(({ table }) => table === "reading")!.rows > 10);
    const database = new DatabaseSync(file, { readOnly: true });
    for (const table of ["session", "api_token", "sign_in_attempt"]) {
      assert.equal(database.prepare(`SELECT count(*) AS n FROM ${table}`).get()!.n, 0);
    }
    database.close();
    const copy = await opened(file);
    assert.deepEqual(await contents(copy), await contents(store));
    assert.deepEqual(await people(copy), ["Ada"]);
  });

  it("never takes the place of another file unasked", async () => {
    const store = await fill(await emptyStore());
    const file = join(scratchFolder(), "b.sqlite");
    writeFileSync(file, "somebody's");
    assert.equal((await refusal(backUp(store, file))).code, "backup-exists");
    assert.equal(readFileSync(file, "utf8"), "somebody's");
    await backUp(store, file, { replace: true });
    assert.deepEqual(await contents(await opened(file)), await contents(store));
    const nowhere = join(scratchFolder(), "no", "b.sqlite");
    assert.equal((await refusal(backUp(store, nowhere))).code, "backup-unwritable");
  });

  it("is of one moment, though files come in meanwhile", async () => {
    const store = await fill(await emptyStore());
    const other = await openStore(store.location);
    onTestFinished(() => other.close());
    const file = join(scratchFolder(), "b.sqlite");
    let begun = false;
    let intake: Promise<unknown> = Promise.resolve();
    const onTable = () => {
      if (!begun) intake = ingest(other, writeFiles(LATER));
      begun = true;
    };
    const before = await contents(store);
    const [backup] = await Promise.all([backUp(store, file, { onTable })]);
    await intake;
    assert.deepEqual(await contents(await opened(file)), before);
    assert.notDeepEqual(await contents(store), before);
    assert.equal((await proveTrail(store.trail, backup.trail.head)).holdsGiven, true);
  });

  it("comes back into an empty store, which goes on as the first would have", async () => {
    const first = await fill(await scratchStore());
    const file = join(scratchFolder(), "b.sqlite");
    const { sha256, trail } = await backUp(first, file);
    const store = await emptyStore();
    const restored = await restore(file, store);
    assert.deepEqual([restored.sha256, restored.hadDigest, restored.kept], [sha256, true, null]);
    assert.deepEqual(await contents(store), await contents(first));
    assert.deepEqual(await people(store), ["Ada"]);
    assert.equal(await store.accounts.session("d".repeat(64)), null);
    const proof = await proveTrail(store.trail, trail.head);
    assert.deepEqual([proof.entries, proof.brokenAt, proof.holdsGiven], [trail.entries + 1, null, true]);
    const [last] = await store.trail.list({}, { offset: 0, limit: 1, newestFirst: true });
    assert.deepEqual(
      [last!.action, last!.about, JSON.parse(last!.after!)],
      ["restored", "b.sqlite", { entries: trail.entries, head: trail.head, sha256 }],
    );
    for (const one of [first, store]) await ingest(one, writeFiles(LATER));
    assert.deepEqual(await contents(store), await contents(first));
    assert.equal((await refusal(restore(file, store))).code, "store-not-empty");
  });

  it("takes the place of what a store holds, which is kept; whoever has it open sees the change", async () => {
    const store = await fill(await emptyStore());
    const folder = scratchFolder();
    const file = join(folder, "b.sqlite");
    const then = await contents(store);
    await backUp(store, file);
    await ingest(store, writeFiles(LATER));
    const server = await openStore(store.location);
    onTestFinished(() => server.close());
    const [revision, now] = [await server.revision(), await contents(server)];
    const { entries, head } = await proveTrail(server.trail);

    const { kept } = await restore(file, store, { keepAs: join(folder, "kept.sqlite") });
    assert.equal(await server.revision(), revision + 1);
    assert.deepEqual(await contents(server), then);
    assert.equal(await server.accounts.session("d".repeat(64)), null);
    assert.deepEqual(await contents(await opened(kept!.file)), now);
    const proof = await proveTrail(server.trail, head);
    assert.deepEqual([proof.entries, proof.brokenAt, proof.holdsGiven], [entries + 1, null, true]);
    await ingest(server, writeFiles(LATER));
    assert.deepEqual(await contents(store), now);
  });

  it("of another store, or while somebody changes the store, takes no place", async () => {
    const store = await fill(await emptyStore());
    const folder = scratchFolder();
    const other = await scratchStore();
    await ingest(other, writeFiles(UNITS));
    const [foreign, own] = [join(folder, "foreign.sqlite"), join(folder, "own.sqlite")];
    await backUp(other, foreign);
    await backUp(store, own);
    const before = await contents(store);
    const keepAs = (name: string) => ({ keepAs: join(folder, name) });
    assert.equal((await refusal(restore(foreign, store, keepAs("k1.sqlite")))).code, "other-store");
    assert.deepEqual(await contents(store), before);

    const server = await openStore(store.location);
    onTestFinished(() => server.close());
    // Between the keeping and the restoring: both tell of their tables, the first of the keeping.
    const seen: unknown[] = [];
    const { contents: real } = store;
    const slow = Object.assign(Object.create(store) as Store, {
      contents: {
        tables: () => real.tables(),
        read: real.read.bind(real),
        fill: real.fill.bind(real),
        replace: async (work: Parameters<typeof real.replace>[0]) => {
          seen.push(await ingest(server, writeFiles(LATER)));
          return real.replace(work);
        },
      },
      location: store.location,
      trail: store.trail,
    });
    assert.equal((await refusal(restore(own, slow, keepAs("k2.sqlite")))).code, "store-changed");
    assert.equal(seen.length, 1);
    assert.ok((await store.services()).some(({ instrument }) => instrument === "new unit"));
  });
});

describe("a backup that is not as it was written", () => {
  async function made(): Promise<Backup> {
    return backUp(await fill(await scratchStore()), join(scratchFolder(), "b.sqlite"));
  }

  it("is told by its digest, by SQLite, or by its trail", async () => {
    const { file } = await made();
    appendFileSync(file, "x");
    const changed = await refusal(restore(file, await scratchStore()));
    assert.equal(changed.code, "backup-changed");
    assert.match(changed.message, /SHA-256/);

    const broken = await made();
    const database = new DatabaseSync(broken.file);
    database.exec("DROP TRIGGER trail_no_update; UPDATE trail SET who = 'nobody' WHERE number = 2");
    database.close();
    rmSync(`${broken.file}.sha256`);
    const { trail, hadDigest } = await restore(broken.file, await scratchStore());
    assert.deepEqual([trail.brokenAt, hadDigest], [2, false]);
  });

  it("or no backup at all, leaves the store empty", async () => {
    const store = await scratchStore();
    const folder = writeFiles({ "text.txt": "no database" });
    assert.equal((await refusal(restore(join(folder, "text.txt"), store))).code, "not-a-store");
    assert.equal((await refusal(restore(join(folder, "none.sqlite"), store))).code, "no-backup");
    assert.equal((await store.files()).length, 0);
    assert.deepEqual(
      readdirSync(folder).map((name) => basename(name)),
      ["text.txt"],
    );
    assert.ok(!existsSync(join(folder, "none.sqlite")));
  });
});
