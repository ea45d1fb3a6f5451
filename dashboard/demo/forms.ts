import { type Cells, PER_READING, READING_COLUMNS, type ReadingColumn } from "./columns.ts";
import type { FormName, SentRow } from "./slips.ts";

/** How a file of readings is printed: what comes first, each check's text, what comes last. */
export interface Form {
  readonly extension: string;
  readonly head: string;
  /** `isFirst` is true for the first check of the file. */
  readonly check: (rows: readonly SentRow[], isFirst: boolean) => string;
  readonly tail: string;
}

const SHARED = READING_COLUMNS.filter((column) => !PER_READING.includes(column));
const NUMBERS: readonly ReadingColumn[] = [...PER_READING, "fluid_value_mpas", "temperature_c"];
const WIDEST = 3;

const longCsv: Form = {
  extension: "csv",
  head: `${READING_COLUMNS.join(",")}\n`,
  check: (rows) =>
    rows
      .map(({ cells, extraField }) => {
        const line = READING_COLUMNS.map((column) => cells[column]).join(",");
        return extraField === undefined ? `${line}\n` : `${line},${extraField}\n`;
      })
      .join(""),
  tail: "",
};

/** One line a check; the columns that differ between readings carry numbers. */
const wideCsv: Form = {
  extension: "csv",
  head: `${[
    ...SHARED,
    ...Array.from({ length: WIDEST }, (_, i) => PER_READING.map((column) => `${column}_${i + 1}`)).flat(),
  ].join(",")}\n`,
  check: (rows) => {
    const first = (rows[0] as SentRow).cells;
    const sets = Array.from({ length: WIDEST }, (_, i) =>
      PER_READING.map((column) => rows[i]?.cells[column] ?? ""),
    );
    return `${[...SHARED.map((column) => first[column]), ...sets.flat()].join(",")}\n`;
  },
  tail: "",
};

/** One object a check; certified value and range are left to the registers. */
const nestedJson: Form = {
  extension: "json",
  head: "[\n",
  check: (rows, isFirst) => {
    const shared = asObject(
      (rows[0] as SentRow).cells,
      SHARED.filter((column) => column !== "fluid_value_mpas"),
    );
    const perReading = PER_READING.filter((column) => column !== "full_scale_range_mpas");
    const readings = rows.map(({ cells }) => asObject(cells, perReading));
    return `${isFirst ? "" : ",\n"}${JSON.stringify({ ...shared, readings })}`;
  },
  tail: "\n]\n",
};

const ndjson: Form = {
  extension: "ndjson",
  head: "",
  check: (rows) => rows.map(({ cells }) => `${JSON.stringify(asObject(cells, READING_COLUMNS))}\n`).join(""),
  tail: "",
};

export const FORMS: Readonly<Record<FormName, Form>> = {
  "long-csv": longCsv,
  "wide-csv": wideCsv,
  "nested-json": nestedJson,
  ndjson,
};

/** Cells as JSON has them: numbers where they are numbers, nothing where they are empty. */
function asObject(cells: Cells, columns: readonly ReadingColumn[]): Record<string, string | number> {
  const object: Record<string, string | number> = {};
  for (const column of columns) {
    const text = cells[column];
    if (text === "") continue;
    const number = NUMBERS.includes(column) ? Number(text) : Number.NaN;
    object[column] = Number.isNaN(number) ? text : number;
  }
  return object;
}
