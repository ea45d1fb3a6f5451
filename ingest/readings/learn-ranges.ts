import type { ReadingColumn } from "../columns/columns.ts";
import { parseNumber } from "../columns/parse-number.ts";
import type { CsvRows } from "../csv/plain-csv-reader.ts";
import type { PlainRow } from "../csv/plain-row.ts";
import type { OpenedFile } from "../open-file.ts";
import { readRows } from "../read-records.ts";
import type { RawRecord } from "../record.ts";
import { recordProblem } from "../record-fields.ts";
import type { WayOfReading } from "../way-of-reading.ts";
import { type PlainSet, plainKinds, plainNumber, plainSets, plainText } from "./plain-readings.ts";
import type { RangeConstants } from "./range-constants.ts";
import { readingTextsOf, type TextReading } from "./reading-texts.ts";

const WANTED: ReadonlySet<ReadingColumn> = new Set([
  "instrument",
  "checked_at",
  "geometry",
  "speed_rpm",
  "full_scale_range_mpas",
]);

/** Goes through a file of readings once for the full-scale ranges that its checks use. */
export async function learnRanges(
  file: OpenedFile,
  ranges: RangeConstants,
  onBytes: (count: number) => void,
): Promise<void> {
  const learner = new RangeLearner(file, ranges);
  for await (const _ of readRows(file, file.decimal, learner, onBytes));
}

class RangeLearner implements CsvRows {
  readonly #way: WayOfReading;
  readonly #ranges: RangeConstants;
  #sets: readonly PlainSet[] = [];
  readonly #textsOf: (columns: readonly string[], record: RawRecord) => TextReading[];
  #check = -1;
  #checkedAt: string | null = null;

  constructor(way: WayOfReading, ranges: RangeConstants) {
    this.#way = way;
    this.#ranges = ranges;
    this.#textsOf = readingTextsOf(way);
  }

  kindsOf(columns: readonly string[]) {
    this.#sets = plainSets(columns, this.#way);
    return plainKinds(columns, this.#way, (column) => WANTED.has(column));
  }

  plain(row: PlainRow): boolean {
    for (const set of this.#sets) {
      const constant =
        (plainNumber(row, set.speedRpm) ?? 0) * (plainNumber(row, set.fullScaleRangeMPaS) ?? 0);
      const instrument = plainText(row, set.instrument);
      this.#learn(instrument, plainText(row, set.geometry), plainText(row, set.checkedAt), constant);
    }
    return true;
  }

  records(columns: readonly string[], records: readonly RawRecord[]): void {
    for (const record of records) {
      if (recordProblem(record) !== null) continue;
      for (const { text } of this.#textsOf(columns, record)) {
        const constant =
          this.#number(text.speed_rpm, "speed_rpm") *
          this.#number(text.full_scale_range_mpas, "full_scale_range_mpas");
        this.#learn(text.instrument, text.geometry, text.checked_at, constant);
      }
    }
  }

  #number(text: string, column: "speed_rpm" | "full_scale_range_mpas"): number {
    const value = parseNumber(text, this.#way.decimal);
    return this.#way.profile.toOwnUnit[column]?.(value) ?? value;
  }

  #learn(instrument: string, geometry: string, checkedAt: string, constant: number): void {
    if (checkedAt !== this.#checkedAt) {
      this.#check++;
      this.#checkedAt = checkedAt;
    }
    if (instrument !== "" && constant > 0 && Number.isFinite(constant)) {
      this.#ranges.learn(instrument, geometry, constant, this.#check);
    }
  }
}
