import { canonicalNames } from "../columns/canonical-names.ts";
import type { ReadingColumn } from "../columns/columns.ts";
import { type ReadingSet, readingSets } from "../columns/reading-sets.ts";
import type { RecordBatch } from "../read-records.ts";
import type { RawRecord } from "../record.ts";
import { fieldText, forColumns } from "../record-fields.ts";
import type { WayOfReading } from "../way-of-reading.ts";

/** One reading as text, and where it stands. */
export interface TextReading<Wanted extends ReadingColumn> {
  readonly record: RawRecord;
  /** Number of the reading within a wide or nested check, from 1; 0 where the row is one reading. */
  readonly part: number;
  readonly text: Readonly<Record<Wanted, string>>;
}

/**
 * Finds the readings in the records of one file: one per record, or one per numbered set that is not empty.
 *
 * @param wanted The columns whose text is needed.
 */
export function readingTextsOf<Wanted extends ReadingColumn>(
  way: WayOfReading,
  wanted: readonly Wanted[],
): (columns: RecordBatch["columns"], record: RawRecord) => TextReading<Wanted>[] {
  const { profile, constants } = way;
  const setsFor = forColumns((columns) => readingSets(canonicalNames(columns, profile.columns)));

  // Copied from one shape, so that the engine knows where each column lies.
  const empty = Object.fromEntries(wanted.map((column) => [column, ""])) as Record<Wanted, string>;
  const textOf = (record: RawRecord, set: ReadingSet) => {
    const text = { ...empty };
    for (const column of wanted) {
      text[column] = fieldText(record, set.places[column], constants[column]);
    }
    return text;
  };

  return (columns, record) => {
    const readings: TextReading<Wanted>[] = [];
    for (const set of setsFor(columns)) {
      if (set.number > 0 && isEmpty(record, set)) continue;
      readings.push({ record, part: set.number || record.part, text: textOf(record, set) });
    }
    return readings;
  };
}

function isEmpty(record: RawRecord, set: ReadingSet): boolean {
  return set.numberedPlaces.every((place) => (record.fields[place] ?? "").trim() === "");
}
