import { StoreError } from "./errors.ts";
import { type ReadableTables, STATE_TABLE, type TableShape } from "./store/contents.ts";
import type { Store } from "./store/store.ts";

/** How many rows of one table were copied, each of them read back and compared. */
export interface CopiedTable {
  readonly table: string;
  readonly rows: number;
}

/**
 * Copies everything from one store into another, whatever databases they are in: all of it, or nothing.
 *
 * @remarks Every row is read back from the new store and compared before anything is kept there.
 * @param onTable Told when a table is done.
 * @throws {StoreError} "store-not-empty" where the target holds anything; "copy-differs" where a row does not come
 *   back as it was: nothing is kept then.
 */
export async function copyStore(
  from: Store,
  to: Store,
  onTable: (done: CopiedTable) => void = () => undefined,
): Promise<CopiedTable[]> {
  const tables = inOrder(await from.contents.tables());
  const copied: CopiedTable[] = [];
  await from.contents.read((source) =>
    to.contents.fill(async (target) => {
      for (const table of tables) {
        for await (const rows of source.rows(table)) await target.put(table, rows);
      }
      for (const table of tables) {
        const done = { table: table.name, rows: await compare(table, source, target) };
        copied.push(done);
        onTable(done);
      }
    }),
  );
  return copied.filter(({ table }) => table !== STATE_TABLE);
}

/** @returns How many rows both have, all of them equal. */
async function compare(table: TableShape, source: ReadableTables, target: ReadableTables): Promise<number> {
  let count = 0;
  const theirs = target.rows(table)[Symbol.asyncIterator]();
  for await (const rows of source.rows(table)) {
    const { value: others = [] } = await theirs.next();
    rows.forEach((row, i) => {
      const other = others[i];
      if (other === undefined || !row.every((value, column) => Object.is(value, other[column]))) {
        throw differs(table, `row ${count + i + 1} by its key`);
      }
    });
    if (others.length !== rows.length) throw differs(table, "the number of rows");
    count += rows.length;
  }
  if ((await theirs.next()).done !== true) throw differs(table, "the number of rows");
  return count;
}

function differs({ name }: TableShape, where: string): StoreError {
  return new StoreError(
    "copy-differs",
    `The copy is not the same in the table "${name}" (${where}): nothing of it was kept.`,
  );
}

/** Tables after those that their rows point to. */
function inOrder(tables: readonly TableShape[]): TableShape[] {
  const byName = new Map(tables.map((table) => [table.name, table]));
  const ordered = new Set<TableShape>();
  const visit = (table: TableShape) => {
    for (const name of table.refersTo) if (name !== table.name) visit(byName.get(name)!);
    ordered.add(table);
  };
  for (const table of tables) visit(table);
  return [...ordered];
}
