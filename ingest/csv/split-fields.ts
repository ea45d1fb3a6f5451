import { parse } from "csv-parse/sync";

/**
 * Splits rows that hold quotes into fields, strictly.
 *
 * @remarks
 * All rows are given to the library at once, since a call costs more than a row; where the answer does not
 * have one row for each, every row is tried alone.
 *
 * @param rows Each the text of one row, without its line end; quoted fields may hold line ends.
 * @returns For each row its fields, or null where its quotes are broken.
 */
export function splitQuotedRows(rows: readonly string[], delimiter: string): (string[] | null)[] {
  return parseStrictly(rows, delimiter) ?? rows.map((row) => parseStrictly([row], delimiter)?.[0] ?? null);
}

function parseStrictly(rows: readonly string[], delimiter: string): string[][] | null {
  try {
    const parsed = parse(rows.join("\n"), {
      delimiter,
      record_delimiter: "\n",
      // The number of fields is held against the header by the caller, who knows how to say it.
      relax_column_count: true,
    });
    return parsed.length === rows.length ? parsed : null;
  } catch {
    return null;
  }
}
