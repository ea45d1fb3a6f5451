import { canonicalNames } from "../columns/canonical-names.ts";
import { COLUMNS } from "../columns/columns.ts";
import { numberedColumn } from "../columns/reading-sets.ts";
import { IngestError } from "../errors.ts";
import { type RecordBatch, readText } from "../read-records.ts";
import type { RawRecord } from "../record.ts";
import type { HeldRow, KeptWay, Mend } from "../store/held.ts";
import { type WayOfReading, wayOf } from "../way-of-reading.ts";

/** One field of a held row, as a person mends it. */
export interface HeldField {
  /** Our name of the column; numbered where it belongs to one reading of a wide row. */
  readonly column: string;
  /** The file's own header; null where the file has no such column. */
  readonly header: string | null;
  /** As the file has it; null where the row could not be split. */
  readonly before: string | null;
  /** The latest new value; null where there is none. */
  readonly mended: string | null;
}

/**
 * A held row as records again, with new values in place of the old.
 *
 * @throws {IngestError} "unknown-column" for a value of a column that files of this kind do not have.
 */
export function mendedBatch(row: HeldRow, kept: KeptWay, way: WayOfReading, mend: Mend): RecordBatch {
  const read = readRow(row, kept, way, mend.row ?? row.raw);
  const values = Object.entries(mend.values ?? {});
  if (values.length === 0) return read;

  const columns = [...read.columns];
  // What could not be split is put together from the new values alone.
  const records = read.records.map((record) => ({ ...record, fields: [...record.fields] }));
  for (const record of records) {
    if (record.problem === null) continue;
    record.fields = columns.map(() => "");
  }
  const names = [...canonicalNames(columns, way.profile.columns)];
  for (const [column, value] of values) {
    const place = placeOf(column, row.part, names, way);
    if (place === names.length) {
      names.push(column);
      columns.push(column);
    }
    for (const record of records) {
      while (record.fields.length < place) record.fields.push("");
      record.fields[place] = value;
    }
  }
  return {
    columns,
    records: records.map((record) => ({ ...record, problem: null, raw: record.fields.join("\n") })),
  };
}

/** The fields of a held row, beside them what mends have put in their place. */
export function heldFields(row: HeldRow): readonly HeldField[] {
  if (row.way === null) return [];
  const way = wayOf(row.way);
  const { columns, records } = readRow(row, row.way, way, row.raw);
  const [record] = records;
  const isSplit = record !== undefined && record.problem === null;
  const names = canonicalNames(columns, way.profile.columns);
  const mended = new Map<string, string>();
  for (const { mend } of row.decisions) {
    for (const [column, value] of Object.entries(mend?.values ?? {})) mended.set(column, value);
  }
  const inFile = names.flatMap((name, place) => {
    const numbered = numberedColumn(name);
    if (numbered !== null && row.part > 0 && numbered.number !== row.part) return [];
    const column = numbered !== null && row.part > 0 ? numbered.column : name;
    if (!isColumn(column, way)) return [];
    const before = isSplit ? (record.fields[place] ?? "") : null;
    return [{ column, header: columns[place]!, before, mended: mended.get(column) ?? null }];
  });
  const there = new Set(inFile.map(({ column }) => column));
  const added = COLUMNS[way.kind].filter((column) => !there.has(column));
  return [
    ...inFile,
    ...added.map((column) => ({ column, header: null, before: "", mended: mended.get(column) ?? null })),
  ];
}

/** The records of the row's text; of a wide or nested check only the reading that is held. */
function readRow(row: HeldRow, kept: KeptWay, way: WayOfReading, text: string): RecordBatch {
  const { columns, records } = readText(way, kept.header, text);
  const { part } = row;
  const place = { line: row.line, column: row.column };
  if (part === 0) return { columns, records: records.map((record) => ({ ...record, ...place })) };
  const numbers = canonicalNames(columns, way.profile.columns).map((name) => numberedColumn(name)?.number);
  return {
    columns,
    records: records
      .filter((record) => record.part === 0 || record.part === part)
      .map((record) => ({ ...record, ...place, fields: onlyPart(record, numbers, part) })),
  };
}

function onlyPart({ fields }: RawRecord, numbers: readonly (number | undefined)[], part: number): string[] {
  return fields.map((text, i) => (numbers[i] === undefined || numbers[i] === part ? text : ""));
}

function placeOf(column: string, part: number, names: readonly string[], way: WayOfReading): number {
  if (!isColumn(column, way)) {
    throw new IngestError(
      "unknown-column",
      `"${column}" is no column of ${way.kind}; known are ${COLUMNS[way.kind].join(", ")}.`,
    );
  }
  const numbered = names.indexOf(`${column}_${part}`);
  const place = numbered >= 0 ? numbered : names.indexOf(column);
  return place >= 0 ? place : names.length;
}

function isColumn(name: string, { kind }: WayOfReading): boolean {
  const column = numberedColumn(name)?.column ?? name;
  return (COLUMNS[kind] as readonly string[]).includes(column);
}
