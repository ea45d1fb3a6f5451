import { StoreError } from "./errors.ts";
import {
  KEPT_IN_PLACE,
  type ReadableTables,
  referredFirst,
  STATE_TABLE,
  type TableShape,
} from "./store/contents.ts";
import type { Store } from "./store/store.ts";
import type { TrailNote } from "./store/trail.ts";

/** How many rows of one table were copied, each of them read back and compared. */
export interface CopiedTable {
  readonly table: string;
  readonly rows: number;
}

export interface CopyOptions {
  /** Told when a table is done. */
  readonly onTable?: ((done: CopiedTable) => void) | undefined;
  /** Tables whose rows stay behind. */
  readonly leaveOut?: ReadonlySet<string>;
  /** Into a store that holds something, in place of everything but its trail. */
  readonly inPlace?: boolean;
  /** Asked at the end, before anything is kept: what the target's trail is to say of it. */
  readonly note?: () => Promise<TrailNote>;
}

/**
 * Copies everything from one store into another, whatever databases they are in: all of it, or nothing.
 *
 * @remarks Every row is read back from the new store and compared before anything is kept there.
 * @throws {StoreError} "store-not-empty" where the target holds anything and is not to be replaced; "copy-differs" where
 *   a row does not come back as it was: nothing is kept then.
 */
export async function copyStore(
  from: Store,
  to: Store,
  { onTable = () => undefined, leaveOut = new Set(), inPlace = false, note }: CopyOptions = {},
): Promise<CopiedTable[]> {
  const tables = referredFirst(await from.contents.tables()).filter(
    ({ name }) => !leaveOut.has(name) && !(inPlace && KEPT_IN_PLACE.has(name)),
  );
  const copied: CopiedTable[] = [];
  const { contents } = to;
  const write = inPlace ? contents.replace.bind(contents) : contents.fill.bind(contents);
  await from.contents.read((source) =>
    write(async (target) => {
      for (const table of tables) {
        for await (const rows of source.rows(table)) await target.put(table, rows);
      }
      for (const table of tables) {
        const done = { table: table.name, rows: await compare(table, source, target) };
        copied.push(done);
        onTable(done);
      }
      if (note !== undefined) await target.tell(await note());
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
