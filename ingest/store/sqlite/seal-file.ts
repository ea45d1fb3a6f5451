import { DatabaseSync } from "node:sqlite";
import { StoreError } from "../../errors.ts";
import { quoted } from "../contents.ts";

/**
 * Makes a store's file, which nobody has open any more, a file that needs no other beside it, and looks whether it is
 * sound.
 *
 * @param rows How many rows each table must have.
 * @throws {StoreError} "store-damaged".
 */
export function sealFile(file: string, rows: ReadonlyMap<string, number>): void {
  const database = new DatabaseSync(file);
  try {
    database.exec("PRAGMA journal_mode = DELETE");
    const sound = database.prepare("PRAGMA integrity_check").get()?.integrity_check === "ok";
    const wrong = [...rows].find(([table, expected]) => {
      const { n } = database.prepare(`SELECT count(*) AS n FROM ${quoted(table)}`).get()!;
      return n !== expected;
    });
    if (sound && wrong === undefined) return;
    throw new StoreError("store-damaged", `${file} did not come out as it was written: look after the disk.`);
  } finally {
    database.close();
  }
}
