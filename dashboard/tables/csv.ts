/** One row of a table for programs. */
export type FigureRow = Readonly<Record<string, string | number | boolean | null>>;

/** A cell that a spreadsheet would take for a formula begins with one of these. */
const FORMULA_START = /^[=+\-@\t\r]/;
const NEEDS_QUOTES = /[",\r\n]/;

/**
 * Rows as CSV (RFC 4180): a header from the first row's names, then one line a row.
 *
 * Text that begins like a formula gets an apostrophe in front, so that opening the file runs nothing;
 * numbers stay numbers, with their sign. Missing values are empty.
 */
export function toCsv(rows: readonly FigureRow[]): string {
  const [first] = rows;
  if (first === undefined) return "";
  const columns = Object.keys(first);
  const lines = rows.map((row) => columns.map((column) => cell(row[column] ?? null)).join(","));
  return `${[columns.map(cell).join(","), ...lines].join("\r\n")}\r\n`;
}

function cell(value: string | number | boolean | null): string {
  if (value === null) return "";
  if (typeof value !== "string") return String(value);
  const safe = FORMULA_START.test(value) ? `'${value}` : value;
  return NEEDS_QUOTES.test(safe) ? `"${safe.replaceAll('"', '""')}"` : safe;
}
