import type { Kysely } from "kysely";
import { IngestError } from "../errors.ts";
import type { PersonRow } from "./account-tables.ts";
import type { Account, AccountChange, CompanySubject } from "./accounts.ts";
import type { Tables } from "./tables.ts";

/** Accounts as queries that any database behind the store answers. */

/** What makes two names the same: capitals, and the ways in which one letter can be written, do not count. */
export function nameKey(name: string): string {
  return name.normalize("NFKC").toLowerCase();
}

export async function selectAccounts(db: Kysely<Tables>): Promise<Account[]> {
  const rows = await db.selectFrom("person").selectAll().orderBy("name_key").execute();
  return rows.map(toAccount);
}

/** The one account for which a condition holds. */
export async function selectAccount(
  db: Kysely<Tables>,
  where: { readonly id: number } | { readonly name: string } | { readonly email: string } | CompanySubject,
): Promise<Account | null> {
  const query = db.selectFrom("person").selectAll();
  const row = await ("id" in where
    ? query.where("id", "=", where.id)
    : "name" in where
      ? query.where("name_key", "=", nameKey(where.name))
      : "email" in where
        ? query.where("email", "=", where.email.toLowerCase())
        : query.where("issuer", "=", where.issuer).where("subject", "=", where.subject)
  ).executeTakeFirst();
  return row === undefined ? null : toAccount(row);
}

/** Within a writing transaction. */
export async function insertAccount(db: Kysely<Tables>, account: Omit<Account, "id">): Promise<number> {
  const { name, madeAtMs, ...rest } = account;
  const taken = await db
    .selectFrom("person")
    .select("id")
    .where("name_key", "=", nameKey(name))
    .executeTakeFirst();
  if (taken !== undefined) throw new IngestError("name-taken", `There is an account for ${name} already.`);
  const id = await nextId(db, "person");
  await emailIsFree(db, rest.email, id);
  await db
    .insertInto("person")
    .values({
      id,
      name,
      name_key: nameKey(name),
      made_at_ms: madeAtMs,
      email: null,
      role: account.role,
      ...columns(rest),
    })
    .execute();
  return id;
}

/** Within a writing transaction. */
export async function updateAccount(db: Kysely<Tables>, id: number, change: AccountChange): Promise<void> {
  if (change.email !== undefined) await emailIsFree(db, change.email, id);
  await db.updateTable("person").set(columns(change)).where("id", "=", id).execute();
  const endsSessions =
    change.password !== undefined || (change.disabledAtMs !== undefined && change.disabledAtMs !== null);
  if (endsSessions) await db.deleteFrom("session").where("person_id", "=", id).execute();
}

export async function nextId(db: Kysely<Tables>, table: "person" | "api_token"): Promise<number> {
  const { last } = await db
    .selectFrom(table)
    .select((of) => of.fn.max("id").as("last"))
    .executeTakeFirstOrThrow();
  return Number(last ?? 0) + 1;
}

export function toSites(text: string | null): readonly string[] | null {
  return text === null ? null : (JSON.parse(text) as string[]);
}

export function toAccount(row: PersonRow): Account {
  return {
    id: row.id,
    name: row.name,
    email: row.email,
    role: row.role,
    sites: toSites(row.sites),
    password:
      row.password_digest === null
        ? null
        : { digest: row.password_digest, oneTimeUntilMs: row.one_time_until_ms },
    subject:
      row.issuer === null || row.subject === null ? null : { issuer: row.issuer, subject: row.subject },
    disabledAtMs: row.disabled_at_ms,
    madeAtMs: row.made_at_ms,
  };
}

/** Only what the change names. */
function columns({
  email,
  role,
  sites,
  password,
  subject,
  disabledAtMs,
}: AccountChange): Partial<Omit<PersonRow, "id" | "name" | "name_key" | "made_at_ms">> {
  return {
    ...(email !== undefined && { email: email === null ? null : email.toLowerCase() }),
    ...(role !== undefined && { role }),
    ...(sites !== undefined && { sites: sites === null ? null : JSON.stringify(sites) }),
    ...(password !== undefined && {
      password_digest: password?.digest ?? null,
      one_time_until_ms: password?.oneTimeUntilMs ?? null,
    }),
    ...(subject !== undefined && { issuer: subject?.issuer ?? null, subject: subject?.subject ?? null }),
    ...(disabledAtMs !== undefined && { disabled_at_ms: disabledAtMs }),
  };
}

async function emailIsFree(db: Kysely<Tables>, email: string | null, id: number): Promise<void> {
  if (email === null) return;
  const other = await db
    .selectFrom("person")
    .select("name")
    .where("email", "=", email.toLowerCase())
    .where("id", "<>", id)
    .executeTakeFirst();
  if (other !== undefined) {
    throw new IngestError("name-taken", `The e-mail address ${email} is that of ${other.name} already.`);
  }
}
