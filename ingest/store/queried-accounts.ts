import type { Kysely } from "kysely";
import { insertAccount, selectAccount, selectAccounts, updateAccount } from "./account-queries.ts";
import type { Account, AccountChange, Accounts, ApiToken, CompanySubject, Session } from "./accounts.ts";
import * as sessions from "./session-queries.ts";
import type { Tables } from "./tables.ts";
import { appendTrail } from "./trail-queries.ts";

/** What the accounts need of the store around them. */
interface Around {
  reads(): Kysely<Tables>;
  write<T>(change: (db: Kysely<Tables>) => Promise<T>): Promise<T>;
}

/** The accounts of a store, by queries that any database answers. */
export class QueriedAccounts implements Accounts {
  readonly #around: Around;

  constructor(around: Around) {
    this.#around = around;
  }

  list(): Promise<Account[]> {
    return selectAccounts(this.#around.reads());
  }

  find(id: number): Promise<Account | null> {
    return selectAccount(this.#around.reads(), { id });
  }

  findByName(name: string): Promise<Account | null> {
    return selectAccount(this.#around.reads(), { name });
  }

  findByEmail(email: string): Promise<Account | null> {
    return selectAccount(this.#around.reads(), { email });
  }

  findBySubject(subject: CompanySubject): Promise<Account | null> {
    return selectAccount(this.#around.reads(), subject);
  }

  add(account: Omit<Account, "id">): Promise<number> {
    return this.#around.write(async (db) => {
      await appendTrail(db, { action: "added-person", about: account.name, after: told(account) });
      return insertAccount(db, account);
    });
  }

  change(id: number, change: AccountChange): Promise<void> {
    return this.#around.write(async (db) => {
      const before = await selectAccount(db, { id });
      await updateAccount(db, id, change);
      const after = await selectAccount(db, { id });
      if (before === null || after === null) return;
      const note = { before: told(before), after: told(after) };
      await appendTrail(db, {
        action: "changed-person",
        about: after.name,
        ...note,
        after: { ...note.after, ...(change.password !== undefined && { password: "another one" }) },
      });
    });
  }

  countAttempt(
    name: string,
    atMs: number,
    lockedUntilMs: (attempts: number) => number,
  ): Promise<number | null> {
    return this.#around.write((db) => sessions.countAttempt(db, name, atMs, lockedUntilMs));
  }

  noteRefusal(name: string | null, by: "password" | "company", atMs: number): Promise<void> {
    return this.#around.write(async (db) => {
      const account = name === null ? null : await selectAccount(db, { name });
      const about = account?.name ?? "nobody who is known";
      await appendTrail(db, { action: "refused-sign-in", about, who: "not signed in", after: { by }, atMs });
    });
  }

  forgetAttempts(name: string): Promise<void> {
    return this.#around.write((db) => sessions.deleteAttempts(db, name));
  }

  session(digest: string) {
    return sessions.selectSession(this.#around.reads(), digest);
  }

  beginSession(session: Session): Promise<void> {
    return this.#around.write(async (db) => {
      await sessions.insertSession(db, session);
      const { name } = (await selectAccount(db, { id: session.accountId }))!;
      await appendTrail(db, { action: "signed-in", about: name, who: name, atMs: session.begunAtMs });
    });
  }

  useSession(digest: string, atMs: number): Promise<void> {
    return this.#around.write((db) => sessions.touchSession(db, digest, atMs));
  }

  endSession(digest: string): Promise<void> {
    return this.#around.write(async (db) => {
      const found = await sessions.selectSession(db, digest);
      await sessions.deleteSession(db, digest);
      if (found === null) return;
      const { name } = found.account;
      await appendTrail(db, { action: "signed-out", about: name, who: name });
    });
  }

  token(digest: string) {
    return sessions.selectToken(this.#around.reads(), digest);
  }

  tokensOf(accountId: number): Promise<ApiToken[]> {
    return sessions.selectTokensOf(this.#around.reads(), accountId);
  }

  addToken(token: Omit<ApiToken, "id">): Promise<number> {
    return this.#around.write(async (db) => {
      const id = await sessions.insertToken(db, token);
      const { digest: _, accountId, madeAtMs, ...after } = token;
      const { name } = (await selectAccount(db, { id: accountId }))!;
      await appendTrail(db, { action: "made-token", about: name, after: { id, ...after }, atMs: madeAtMs });
      return id;
    });
  }

  revokeToken(id: number, atMs: number): Promise<void> {
    return this.#around.write(async (db) => {
      const owner = await sessions.updateRevoked(db, id, atMs);
      if (owner !== null)
        await appendTrail(db, { action: "revoked-token", about: owner, after: { id }, atMs });
    });
  }
}

/** What the trail tells of an account: nothing that lets anybody in. */
function told({ email, role, sites, subject, disabledAtMs }: Omit<Account, "id">) {
  return { email, role, sites, company: subject?.subject ?? null, disabled: disabledAtMs !== null };
}
