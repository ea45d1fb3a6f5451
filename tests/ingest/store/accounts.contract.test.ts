import assert from "node:assert/strict";
import { beforeEach, describe, it, onTestFinished } from "vitest";
import { type Account, type Accounts, IngestError, openStore, type Store } from "../../../ingest/index.ts";
import { scratchDatabase } from "../../support/scratch-database.ts";
import { scratchStore } from "../support/scratch.ts";

const AT = Date.parse("2026-04-01T12:00:00Z");
const HOUR = 3_600_000;

const anna: Omit<Account, "id"> = {
  name: "Anna Berg",
  email: "anna@lab.example",
  role: "checker",
  sites: ["North", 'So"uth'],
  password: { digest: "$argon2id$…", oneTimeUntilMs: null },
  subject: null,
  disabledAtMs: null,
  madeAtMs: AT,
};
const bert: Omit<Account, "id"> = { ...anna, name: "Bert", email: null, sites: null, password: null };

const digest = (letter: string) => letter.repeat(64);

async function inPostgres(): Promise<Store> {
  const store = await openStore(await scratchDatabase());
  onTestFinished(() => store.close());
  return store;
}

function isTaken(error: unknown): boolean {
  return error instanceof IngestError && error.code === "name-taken";
}

describe.each([
  ["an SQLite file", () => scratchStore()],
  ["a PostgreSQL database", inPostgres],
])("accounts in %s", (_name, open) => {
  let store: Store;
  let accounts: Accounts;
  beforeEach(async () => {
    store = await open();
    accounts = store.accounts;
  });

  const session = (accountId: number, letter = "a") => ({
    digest: digest(letter),
    accountId,
    begunAtMs: AT,
    lastUsedAtMs: AT,
    endsAtMs: AT + HOUR,
  });

  it("come back as they were, by name, whatever the capitals; the data's revision stays", async () => {
    const second = await accounts.add(bert);
    const first = await accounts.add(anna);
    assert.deepEqual(await accounts.list(), [
      { ...anna, id: first },
      { ...bert, id: second },
    ]);
    for (const name of ["Anna Berg", "ANNA berg"]) {
      assert.equal((await accounts.findByName(name))?.id, first);
    }
    assert.equal((await accounts.findByEmail("Anna@LAB.example"))?.id, first);
    assert.equal((await accounts.find(second))?.name, "Bert");
    assert.equal(await accounts.findByName("Anna"), null);
    assert.equal(await store.revision(), 0);
  });

  it("share neither name nor address", async () => {
    const id = await accounts.add(anna);
    await assert.rejects(accounts.add({ ...bert, name: "anna BERG" }), isTaken);
    await assert.rejects(accounts.add({ ...bert, email: "ANNA@lab.example" }), isTaken);
    const other = await accounts.add(bert);
    await assert.rejects(accounts.change(other, { email: "anna@lab.example" }), isTaken);
    await accounts.change(id, { email: "anna@lab.example", role: "engineer" });
    assert.deepEqual((await accounts.list()).length, 2);
  });

  it("change only in what is named", async () => {
    const id = await accounts.add(anna);
    await accounts.change(id, { role: "manager", sites: null });
    assert.deepEqual(await accounts.find(id), { ...anna, id, role: "manager", sites: null });
    const subject = { issuer: "https://company.example", subject: "77" };
    await accounts.change(id, { subject, password: null, email: null });
    assert.deepEqual(await accounts.findBySubject(subject), {
      ...anna,
      id,
      role: "manager",
      sites: null,
      subject,
      password: null,
      email: null,
    });
    assert.equal(await accounts.findBySubject({ ...subject, issuer: "https://other.example" }), null);
  });

  it("find their session until it is ended", async () => {
    const id = await accounts.add(anna);
    await accounts.beginSession(session(id));
    assert.deepEqual(await accounts.session(digest("a")), {
      session: session(id),
      account: { ...anna, id },
    });
    await accounts.useSession(digest("a"), AT + 5);
    assert.equal((await accounts.session(digest("a")))?.session.lastUsedAtMs, AT + 5);
    await accounts.endSession(digest("a"));
    assert.equal(await accounts.session(digest("a")), null);
  });

  it("lose all their sessions by another password and by being disabled, and nobody else's", async () => {
    const [first, second] = [await accounts.add(anna), await accounts.add(bert)];
    await accounts.beginSession(session(second, "b"));
    for (const change of [{ password: null }, { disabledAtMs: AT }]) {
      await accounts.beginSession(session(first));
      await accounts.change(first, { role: "reader" });
      assert.notEqual(await accounts.session(digest("a")), null);
      await accounts.change(first, change);
      assert.equal(await accounts.session(digest("a")), null);
    }
    assert.notEqual(await accounts.session(digest("b")), null);
  });

  it("keep no session that has ended when another begins", async () => {
    const id = await accounts.add(anna);
    await accounts.beginSession(session(id));
    await accounts.beginSession({ ...session(id, "b"), begunAtMs: AT + HOUR, endsAtMs: AT + 2 * HOUR });
    assert.equal(await accounts.session(digest("a")), null);
  });

  it("find their tokens, and what was revoked once stays so", async () => {
    const accountId = await accounts.add(anna);
    const token = {
      digest: digest("c"),
      accountId,
      label: "upload",
      role: "checker",
      sites: ["North"],
      madeAtMs: AT,
      endsAtMs: AT + HOUR,
      revokedAtMs: null,
    };
    const id = await accounts.addToken(token);
    const later = await accounts.addToken({ ...token, digest: digest("d"), sites: null });
    assert.deepEqual(await accounts.token(digest("c")), {
      token: { ...token, id },
      account: { ...anna, id: accountId },
    });
    await accounts.revokeToken(id, AT + 1);
    await accounts.revokeToken(id, AT + 2);
    assert.deepEqual(
      (await accounts.tokensOf(accountId)).map((one) => [one.id, one.revokedAtMs]),
      [
        [later, null],
        [id, AT + 1],
      ],
    );
    assert.deepEqual(await accounts.tokensOf(accountId + 1), []);
  });

  it("count attempts by name, also of those whom nobody knows, and those made at the same time", async () => {
    const lock = (attempts: number) => (attempts >= 3 ? AT + HOUR : 0);
    const answers = await Promise.all(
      Array.from({ length: 5 }, (_, i) => accounts.countAttempt(i % 2 ? "nobody" : "NOBODY", AT, lock)),
    );
    assert.deepEqual(answers.sort(), [AT + HOUR, AT + HOUR, null, null, null].sort());
    assert.equal(await accounts.countAttempt("somebody else", AT, lock), null);
    // Once the time is over there is one more, and it locks again.
    assert.equal(await accounts.countAttempt("nobody", AT + HOUR, (attempts) => AT + attempts * HOUR), null);
    assert.equal(await accounts.countAttempt("nobody", AT + HOUR, lock), AT + 4 * HOUR);
    await accounts.forgetAttempts("Nobody");
    assert.equal(await accounts.countAttempt("nobody", AT + HOUR, lock), null);
  });

  it("leave a trail that tells who did what, and nothing that lets anybody in", async () => {
    const id = await accounts.add(anna);
    await accounts.change(id, {
      role: "manager",
      password: { digest: "a secret digest", oneTimeUntilMs: 7 },
    });
    await accounts.noteRefusal("ANNA berg", "password", AT);
    await accounts.noteRefusal("my secret typed into the wrong field", "password", AT);
    await accounts.noteRefusal(null, "company", AT);
    await accounts.beginSession(session(id));
    await accounts.endSession(digest("a"));
    await accounts.endSession(digest("a"));
    const token = { digest: digest("c"), accountId: id, label: "upload", role: "reader", sites: null };
    const tokenId = await accounts.addToken({
      ...token,
      madeAtMs: AT,
      endsAtMs: AT + HOUR,
      revokedAtMs: null,
    });
    await accounts.revokeToken(tokenId, AT + 1);
    await accounts.revokeToken(tokenId, AT + 2);
    const entries = await store.trail.list({}, { offset: 1, limit: 100 });
    assert.deepEqual(
      entries.map(({ action, about, who }) => [
        action,
        about,
        who === "Anna Berg" || who === "not signed in" ? who : "at work",
      ]),
      [
        ["added-person", "Anna Berg", "at work"],
        ["changed-person", "Anna Berg", "at work"],
        ["refused-sign-in", "Anna Berg", "not signed in"],
        ["refused-sign-in", "nobody who is known", "not signed in"],
        ["refused-sign-in", "nobody who is known", "not signed in"],
        ["signed-in", "Anna Berg", "Anna Berg"],
        ["signed-out", "Anna Berg", "Anna Berg"],
        ["made-token", "Anna Berg", "at work"],
        ["revoked-token", "Anna Berg", "at work"],
      ],
    );
    assert.match(entries[1]!.after!, /"role":"manager".*"password":"another one"/);
    assert.doesNotMatch(JSON.stringify(entries), /secret|aaaa|cccc|argon2/);
  });

  it("forget attempts of a month ago, but no lock that still holds", async () => {
    const month = 31 * 24 * HOUR;
    const lock = (attempts: number) => (attempts >= 2 ? AT + 2 * month : 0);
    await accounts.countAttempt("once", AT, lock);
    await accounts.countAttempt("twice", AT, lock);
    await accounts.countAttempt("twice", AT, lock);
    assert.equal(await accounts.countAttempt("once", AT + month, lock), null);
    assert.equal(await accounts.countAttempt("once", AT + month, lock), null);
    assert.equal(await accounts.countAttempt("twice", AT + month, lock), AT + 2 * month);
  });
});
