import { Command } from "commander";
import { copyStore, openStore } from "../../ingest/index.ts";
import type { CommandContext } from "./context.ts";
import { addJsonOption, type JsonOption } from "./options.ts";
import { textTable } from "./text-table.ts";

/** `springtide store copy FROM TO`: everything that a store holds, into a new one of whatever kind. */
export function storeCommand(context: CommandContext): Command {
  const store = new Command("store").description("the store as a whole: copy");
  const copy = store
    .command("copy")
    .description(
      "copy everything into a new store, of either kind; every row is compared before any is kept, and a store that holds something is refused",
    )
    .argument("<from>", "the store as it is: sqlite:FILE or postgres://…")
    .argument("<to>", "the new one: an SQLite file that is not there yet, or an empty PostgreSQL database")
    .action(async (from: string, to: string, options: JsonOption) => {
      const source = await openStore(from, { create: false });
      try {
        const target = await openStore(to);
        try {
          const tables = await copyStore(source, target, {
            onTable: ({ table, rows }) =>
              context.progress?.(`${table}: ${rows.toLocaleString("en")} rows, all the same`),
          });
          const rows = tables.reduce((sum, table) => sum + table.rows, 0);
          if (options.json) context.print(`${JSON.stringify({ tables, rows })}\n`);
          else {
            const lines = tables
              .filter((table) => table.rows > 0)
              .map((table) => [table.table, table.rows.toLocaleString("en")]);
            context.print(
              `${textTable(["table", ">rows"], lines)}${rows.toLocaleString("en")} rows copied and compared, each the same in ${target.shown}.\n`,
            );
          }
        } finally {
          await target.close();
        }
      } finally {
        await source.close();
      }
    });
  addJsonOption(copy);
  return store;
}
