import type { ReadingBatch } from "../store/reading-batch.ts";
import type { QuarantinedRow, ReadingRecord, RowPlace } from "../store/store.ts";
import type { Encoding } from "../text/encoding.ts";

/** Some rows of a file of readings, judged; plain data, so that it can come from another thread. */
export interface JudgedBatch {
  /** The columns of the file, as far as they are known. */
  readonly columns: readonly string[];
  /** Readings that nothing stands against. */
  readonly sound: ReadingBatch;
  /** Where each of them stands in the file. */
  readonly places: SoundPlaces;
  readonly objected: readonly ObjectedReading[];
  /** Readings for each lot that no register knows. */
  readonly unknownLots: ReadonlyMap<string, number>;
}

/** A row, or one reading of it, that something stands against. */
export interface ObjectedReading {
  /** How many of the batch's sound readings come before it. */
  readonly after: number;
  readonly row: QuarantinedRow;
  /** Complete, and only suspect: it may be stored already, from a time when less was known. Else null. */
  readonly reading: ReadingRecord | null;
}

/** Where sound readings stand, and their rows word for word; looked at for a few readings only. */
export interface SoundPlaces {
  /** See {@link RowPlace}. */
  readonly column: Int32Array;
  readonly part: Int32Array;
  /** Rows that were read as text. */
  readonly texts: ReadonlyMap<number, string>;
  /** All others, as bytes of the file. */
  readonly bytes: Uint8Array;
  readonly encoding: Encoding;
  readonly from: Int32Array;
  readonly until: Int32Array;
}

/** Where the sound reading `i` of a batch stands. */
export function placeOf({ sound, places }: JudgedBatch, i: number): RowPlace {
  const { column, part, texts, bytes, encoding, from, until } = places;
  const raw =
    texts.get(i) ??
    new TextDecoder(encoding, { ignoreBOM: true }).decode(bytes.subarray(from[i]!, until[i]!));
  return { line: sound.line[i]!, column: column[i]!, part: part[i]!, raw };
}
