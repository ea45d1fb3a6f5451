import { type Kysely, sql } from "kysely";
import type { Dialect } from "./migrations.ts";

/** Accounts, and what stands for them. */
export interface AccountTables {
  readonly person: PersonRow;
  readonly session: SessionRow;
  readonly api_token: ApiTokenRow;
  readonly sign_in_attempt: SignInAttemptRow;
}

export interface PersonRow {
  readonly id: number;
  readonly name: string;
  /** The name by which it is looked up: see `nameKey`. */
  readonly name_key: string;
  readonly email: string | null;
  readonly role: string;
  /** A JSON list; null: all sites. */
  readonly sites: string | null;
  readonly password_digest: string | null;
  readonly one_time_until_ms: number | null;
  readonly issuer: string | null;
  readonly subject: string | null;
  readonly disabled_at_ms: number | null;
  readonly made_at_ms: number;
}

interface SessionRow {
  readonly digest: string;
  readonly person_id: number;
  readonly begun_at_ms: number;
  readonly last_used_at_ms: number;
  readonly ends_at_ms: number;
}

interface ApiTokenRow {
  readonly id: number;
  readonly digest: string;
  readonly person_id: number;
  readonly label: string;
  readonly role: string;
  readonly sites: string | null;
  readonly made_at_ms: number;
  readonly ends_at_ms: number;
  readonly revoked_at_ms: number | null;
}

interface SignInAttemptRow {
  readonly key: string;
  readonly attempts: number;
  readonly last_at_ms: number;
  readonly locked_until_ms: number;
}

export async function createAccountTables(db: Kysely<unknown>, dialect: Dialect): Promise<void> {
  const { wholeNumber, tableEnd } = dialect;
  const create = (name: string) => db.schema.createTable(name).modifyEnd(tableEnd);

  await create("person")
    .addColumn("id", wholeNumber, (column) => column.primaryKey())
    .addColumn("name", "text", (column) => column.notNull().check(sql`name <> ''`))
    .addColumn("name_key", "text", (column) => column.notNull().unique())
    .addColumn("email", "text", (column) => column.unique())
    .addColumn("role", "text", (column) => column.notNull())
    .addColumn("sites", "text")
    .addColumn("password_digest", "text")
    .addColumn("one_time_until_ms", wholeNumber)
    .addColumn("issuer", "text")
    .addColumn("subject", "text")
    .addColumn("disabled_at_ms", wholeNumber)
    .addColumn("made_at_ms", wholeNumber, (column) => column.notNull())
    .addUniqueConstraint("person_by_subject", ["issuer", "subject"])
    .execute();

  await create("session")
    .addColumn("digest", "text", (column) => column.primaryKey().check(sql`length(digest) = 64`))
    .addColumn("person_id", wholeNumber, (column) => column.notNull().references("person.id"))
    .addColumn("begun_at_ms", wholeNumber, (column) => column.notNull())
    .addColumn("last_used_at_ms", wholeNumber, (column) => column.notNull())
    .addColumn("ends_at_ms", wholeNumber, (column) => column.notNull())
    .execute();
  await db.schema.createIndex("session_by_person").on("session").column("person_id").execute();

  await create("api_token")
    .addColumn("id", wholeNumber, (column) => column.primaryKey())
    .addColumn("digest", "text", (column) => column.notNull().unique().check(sql`length(digest) = 64`))
    .addColumn("person_id", wholeNumber, (column) => column.notNull().references("person.id"))
    .addColumn("label", "text", (column) => column.notNull().check(sql`label <> ''`))
    .addColumn("role", "text", (column) => column.notNull())
    .addColumn("sites", "text")
    .addColumn("made_at_ms", wholeNumber, (column) => column.notNull())
    .addColumn("ends_at_ms", wholeNumber, (column) => column.notNull())
    .addColumn("revoked_at_ms", wholeNumber)
    .execute();
  await db.schema.createIndex("api_token_by_person").on("api_token").column("person_id").execute();

  await create("sign_in_attempt")
    .addColumn("key", "text", (column) => column.primaryKey())
    .addColumn("attempts", wholeNumber, (column) => column.notNull())
    .addColumn("last_at_ms", wholeNumber, (column) => column.notNull())
    .addColumn("locked_until_ms", wholeNumber, (column) => column.notNull())
    .execute();
}
