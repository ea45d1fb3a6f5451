import { StoreError } from "../../errors.ts";
import {
  type ContentRow,
  type FillableTables,
  MIGRATION_TABLES,
  quoted,
  type ReadableTables,
  ROWS_AT_ONCE,
  replacedTables,
  STATE_TABLE,
  type StoreContents,
  selectAll,
  type TableShape,
} from "../contents.ts";
import { appendTrail } from "../trail-queries.ts";
import { copyField } from "./copy-field.ts";
import { SCHEMA, type Session } from "./session.ts";

/** What the contents need of the store around them. */
interface Around {
  shown(): string;
  /** One connection for some work. */
  read<T>(work: (session: Session) => Promise<T>): Promise<T>;
  /** One writing transaction around some work. */
  write(work: (session: Session) => Promise<void>): Promise<void>;
}

/** All that a store in a PostgreSQL database holds. */
export class PostgresContents implements StoreContents {
  readonly #around: Around;

  constructor(around: Around) {
    this.#around = around;
  }

  tables(): Promise<TableShape[]> {
    return this.#around.read(shapes);
  }

  read<T>(work: (from: ReadableTables) => Promise<T>): Promise<T> {
    return this.#around.read(async (session) => {
      await session.run("BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY");
      try {
        return await work({ rows: (table) => rowsOf(session, table) });
      } finally {
        await session.rollback();
      }
    });
  }

  fill(work: (into: FillableTables) => Promise<void>): Promise<void> {
    return this.#around.write(async (session) => {
      for (const { name } of await shapes(session)) {
        if (name === STATE_TABLE) continue;
        if ((await session.all(`SELECT 1 FROM ${quoted(name)} LIMIT 1`)).length > 0) {
          throw new StoreError(
            "store-not-empty",
            `The store ${this.#around.shown()} holds something already: name a new one to copy into.`,
          );
        }
      }
      await session.run(`DELETE FROM ${STATE_TABLE}`);
      await work(fillable(session));
    });
  }

  replace(work: (into: FillableTables) => Promise<void>): Promise<void> {
    return this.#around.write(async (session) => {
      for (const { name } of replacedTables(await shapes(session))) {
        await session.run(`DELETE FROM ${quoted(name)}`);
      }
      await work(fillable(session));
      await session.run(`UPDATE ${STATE_TABLE} SET revision = revision + 1`);
    });
  }
}

function fillable(session: Session): FillableTables {
  return {
    rows: (table) => rowsOf(session, table),
    put: ({ name, columns }, rows) =>
      session.copyIn(
        `COPY ${quoted(name)} (${columns.map(quoted).join(", ")}) FROM STDIN`,
        rows.map((row) => `${row.map(copyField).join("\t")}\n`).join(""),
      ),
    tell: (note) => appendTrail(session.queries, note),
  };
}

function shapes(session: Session): Promise<TableShape[]> {
  const columnsOf = (numbers: string) =>
    `ARRAY(SELECT attname::text FROM unnest(${numbers}) WITH ORDINALITY AS part (number, place)
           JOIN pg_attribute ON attrelid = pg_class.oid AND attnum = number ORDER BY place)`;
  return session.all<TableShape>(
    `SELECT relname::text AS name,
       ARRAY(SELECT attname::text FROM pg_attribute
             WHERE attrelid = pg_class.oid AND attnum > 0 AND NOT attisdropped ORDER BY attnum) AS columns,
       ${columnsOf("(SELECT conkey FROM pg_constraint WHERE conrelid = pg_class.oid AND contype = 'p')")} AS key,
       ARRAY(SELECT DISTINCT confrelid::regclass::text FROM pg_constraint
             WHERE conrelid = pg_class.oid AND contype = 'f') AS "refersTo"
     FROM pg_class JOIN pg_namespace ON pg_namespace.oid = relnamespace
     WHERE nspname = '${SCHEMA}' AND relkind IN ('r', 'p') AND NOT relispartition
       AND relname NOT IN (${MIGRATION_TABLES.map((name) => `'${name}'`).join(", ")})
     ORDER BY relname`,
  );
}

async function* rowsOf(session: Session, table: TableShape): AsyncGenerator<ContentRow[]> {
  await session.run(`DECLARE all_rows NO SCROLL CURSOR FOR ${selectAll(table)}`);
  for (;;) {
    const rows = await session.arrays<ContentRow>(`FETCH ${ROWS_AT_ONCE} FROM all_rows`);
    if (rows.length > 0) yield rows;
    if (rows.length < ROWS_AT_ONCE) break;
  }
  await session.run("CLOSE all_rows");
}
