import { IngestError } from "../errors.ts";
import { FILE_KINDS } from "../store/store.ts";
import { COLUMNS } from "./columns.ts";
import { numberedColumn } from "./reading-sets.ts";

const KNOWN: ReadonlySet<string> = new Set(FILE_KINDS.flatMap((kind) => COLUMNS[kind]));

/**
 * The names by which a file's columns are known here, in the file's order.
 *
 * @remarks Upper and lower case and spaces around a name do not count. A name that is none of ours is kept as it is.
 * @param mapped From a header as written to a column's name.
 * @throws {IngestError} "column-twice" where two headers mean the same column.
 */
export function canonicalNames(
  headers: readonly string[],
  mapped: ReadonlyMap<string, string>,
): readonly string[] {
  const headerOf = new Map<string, string>();
  return headers.map((header) => {
    const written = header.trim();
    const name = mapped.get(written) ?? written.toLowerCase();
    if (!KNOWN.has(name) && numberedColumn(name) === null) return written;
    const other = headerOf.get(name);
    if (other !== undefined) {
      throw new IngestError("column-twice", `Two columns mean ${name}: "${other}" and "${written}".`);
    }
    headerOf.set(name, written);
    return name;
  });
}
