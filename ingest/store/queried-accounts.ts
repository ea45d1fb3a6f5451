import type { Kysely } from "kysely";
import { insertAccount, selectAccount, selectAccounts, updateAccount } from "./account-queries.ts";
import type { Account, AccountChange, Accounts, ApiToken, CompanySubject, Session } from "./accounts.ts";
import * as sessions from "./session-queries.ts";
import type { Tables } from "./tables.ts";

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
    return this.#around.write((db) => insertAccount(db, account));
  }

  change(id: number, change: AccountChange): Promise<void> {
    return this.#around.write((db) => updateAccount(db, id, change));
  }

  countAttempt(
    name: string,
    atMs: number,
    lockedUntilMs: (attempts: number) => number,
  ): Promise<number | null> {
    return this.#around.write((db) => sessions.countAttempt(db, name, atMs, lockedUntilMs));
  }

  forgetAttempts(name: string): Promise<void> {
    return this.#around.write((db) => sessions.deleteAttempts(db, name));
  }

  session(digest: string) {
    return sessions.selectSession(this.#around.reads(), digest);
  }

  beginSession(session: Session): Promise<void> {
    return this.#around.write((db) => sessions.insertSession(db, session));
  }

  useSession(digest: string, atMs: number): Promise<void> {
    return this.#around.write((db) => sessions.touchSession(db, digest, atMs));
  }

  endSession(digest: string): Promise<void> {
    return this.#around.write((db) => sessions.deleteSession(db, digest));
  }

  token(digest: string) {
    return sessions.selectToken(this.#around.reads(), digest);
  }

  tokensOf(accountId: number): Promise<ApiToken[]> {
    return sessions.selectTokensOf(this.#around.reads(), accountId);
  }

  addToken(token: Omit<ApiToken, "id">): Promise<number> {
    return this.#around.write((db) => sessions.insertToken(db, token));
  }

  revokeToken(id: number, atMs: number): Promise<void> {
    return this.#around.write((db) => sessions.updateRevoked(db, id, atMs));
  }
}
