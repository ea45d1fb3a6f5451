import { canonicalNames } from "../columns/canonical-names.ts";
import { READING_COLUMNS, type ReadingColumn } from "../columns/columns.ts";
import { type ReadingSet, readingSets } from "../columns/reading-sets.ts";
import type { OpenedFile } from "../open-file.ts";
import type { RecordBatch } from "../read-records.ts";
import type { RawRecord } from "../record.ts";
import { fieldText, forColumns } from "../record-fields.ts";
import type { ReadingText } from "./draft.ts";

/** One reading as text, and where it stands. */
export interface TextReading {
  readonly record: RawRecord;
  /** Number of the reading within a wide or nested check, from 1; 0 where the row is one reading. */
  readonly part: number;
  readonly text: ReadingText;
}

/** Finds the readings in the records of one file: one per record, or one per numbered set that is not empty. */
export function readingTextsOf(
  file: OpenedFile,
): (columns: RecordBatch["columns"], record: RawRecord) => TextReading[] {
  const { profile, constants } = file;
  const setsFor = forColumns((columns) => readingSets(canonicalNames(columns, profile.columns)));

  const textOf = (record: RawRecord, set: ReadingSet): ReadingText => {
    const text = {} as Record<ReadingColumn, string>;
    for (const column of READING_COLUMNS) {
      text[column] = fieldText(record, set.places[column], constants[column]);
    }
    return text;
  };

  return (columns, record) => {
    const readings: TextReading[] = [];
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
