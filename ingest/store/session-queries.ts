import { createHash } from "node:crypto";
import type { Kysely } from "kysely";
import { nameKey, nextId, toAccount, toSites } from "./account-queries.ts";
import type { Account, ApiToken, Session } from "./accounts.ts";
import type { Tables } from "./tables.ts";

/** Attempts to sign in, sessions and tokens as queries that any database behind the store answers. */

/** Attempts under a name that nobody tried for so long are forgotten. Unit: ms. */
const ATTEMPTS_KEPT_MS = 30 * 86_400_000;

/** Within a writing transaction. See `Accounts.countAttempt`. */
export async function countAttempt(
  db: Kysely<Tables>,
  name: string,
  atMs: number,
  lockedUntilMs: (attempts: number) => number,
): Promise<number | null> {
  const key = attemptKey(name);
  await db
    .deleteFrom("sign_in_attempt")
    .where("last_at_ms", "<", atMs - ATTEMPTS_KEPT_MS)
    .where("locked_until_ms", "<", atMs)
    .execute();
  const before = await db
    .selectFrom("sign_in_attempt")
    .select(["attempts", "locked_until_ms"])
    .where("key", "=", key)
    .executeTakeFirst();
  if (before !== undefined && before.locked_until_ms > atMs) return before.locked_until_ms;
  const attempts = (before?.attempts ?? 0) + 1;
  const now = { attempts, last_at_ms: atMs, locked_until_ms: lockedUntilMs(attempts) };
  await db
    .insertInto("sign_in_attempt")
    .values({ key, ...now })
    .onConflict((conflict) => conflict.column("key").doUpdateSet(now))
    .execute();
  return null;
}

/** Within a writing transaction. */
export async function deleteAttempts(db: Kysely<Tables>, name: string): Promise<void> {
  await db.deleteFrom("sign_in_attempt").where("key", "=", attemptKey(name)).execute();
}

export async function selectSession(
  db: Kysely<Tables>,
  digest: string,
): Promise<{ readonly session: Session; readonly account: Account } | null> {
  const session = await db
    .selectFrom("session")
    .select([
      "digest",
      "person_id as accountId",
      "begun_at_ms as begunAtMs",
      "last_used_at_ms as lastUsedAtMs",
      "ends_at_ms as endsAtMs",
    ])
    .where("digest", "=", digest)
    .executeTakeFirst();
  return session === undefined ? null : { session, account: await ownerOf(db, session.accountId) };
}

/** Within a writing transaction. */
export async function insertSession(db: Kysely<Tables>, session: Session): Promise<void> {
  await db.deleteFrom("session").where("ends_at_ms", "<=", session.begunAtMs).execute();
  await db
    .insertInto("session")
    .values({
      digest: session.digest,
      person_id: session.accountId,
      begun_at_ms: session.begunAtMs,
      last_used_at_ms: session.lastUsedAtMs,
      ends_at_ms: session.endsAtMs,
    })
    .execute();
}

export async function touchSession(db: Kysely<Tables>, digest: string, atMs: number): Promise<void> {
  await db.updateTable("session").set({ last_used_at_ms: atMs }).where("digest", "=", digest).execute();
}

export async function deleteSession(db: Kysely<Tables>, digest: string): Promise<void> {
  await db.deleteFrom("session").where("digest", "=", digest).execute();
}

export async function selectToken(
  db: Kysely<Tables>,
  digest: string,
): Promise<{ readonly token: ApiToken; readonly account: Account } | null> {
  const row = await tokens(db).where("digest", "=", digest).executeTakeFirst();
  if (row === undefined) return null;
  return { token: { ...row, sites: toSites(row.sites) }, account: await ownerOf(db, row.accountId) };
}

export async function selectTokensOf(db: Kysely<Tables>, accountId: number): Promise<ApiToken[]> {
  const rows = await tokens(db).where("person_id", "=", accountId).orderBy("id", "desc").execute();
  return rows.map((row) => ({ ...row, sites: toSites(row.sites) }));
}

/** Within a writing transaction. */
export async function insertToken(db: Kysely<Tables>, token: Omit<ApiToken, "id">): Promise<number> {
  const id = await nextId(db, "api_token");
  await db
    .insertInto("api_token")
    .values({
      id,
      digest: token.digest,
      person_id: token.accountId,
      label: token.label,
      role: token.role,
      sites: token.sites === null ? null : JSON.stringify(token.sites),
      made_at_ms: token.madeAtMs,
      ends_at_ms: token.endsAtMs,
      revoked_at_ms: token.revokedAtMs,
    })
    .execute();
  return id;
}

/** What was revoked once stays so from then on. @returns Whose token it was; null where nothing changed. */
export async function updateRevoked(db: Kysely<Tables>, id: number, atMs: number): Promise<string | null> {
  const revoked = await db
    .updateTable("api_token")
    .set({ revoked_at_ms: atMs })
    .where("id", "=", id)
    .where("revoked_at_ms", "is", null)
    .returning("person_id")
    .executeTakeFirst();
  return revoked === undefined ? null : (await ownerOf(db, revoked.person_id)).name;
}

function attemptKey(name: string): string {
  return createHash("sha256").update(nameKey(name)).digest("hex");
}

function tokens(db: Kysely<Tables>) {
  return db
    .selectFrom("api_token")
    .select([
      "id",
      "digest",
      "person_id as accountId",
      "label",
      "role",
      "sites",
      "made_at_ms as madeAtMs",
      "ends_at_ms as endsAtMs",
      "revoked_at_ms as revokedAtMs",
    ]);
}

async function ownerOf(db: Kysely<Tables>, id: number): Promise<Account> {
  return toAccount(await db.selectFrom("person").selectAll().where("id", "=", id).executeTakeFirstOrThrow());
}
