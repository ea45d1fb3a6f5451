/**
 * One row as read from a file, before any meaning is given to it.
 *
 * `fields` follow the columns of the file in their order. A row that cannot be split has a `problem` in
 * place of its fields.
 */
export interface RawRecord {
  /** First line of the row, as an editor counts. */
  readonly line: number;
  /** Where on that line it begins, from 1. */
  readonly column: number;
  /** Number of the reading within a nested check, from 1; 0 where the row is not part of one. */
  readonly part: number;
  /** The row as it stands in the file. */
  readonly raw: string;
  readonly fields: readonly string[];
  readonly problem: string | null;
}

/** A row that cannot be split into its fields, and why. */
export function unreadable(
  place: Pick<RawRecord, "line" | "column" | "raw"> & Partial<Pick<RawRecord, "part">>,
  problem: string,
): RawRecord {
  const { line, column, part = 0, raw } = place;
  return { line, column, part, raw, fields: [], problem };
}

/** Turns the text of a file into records, piece by piece. */
export interface RecordReader {
  /** Names of the columns, as the file has them; a file of objects may show further ones as it goes on. */
  readonly columns: readonly string[];
  push(piece: string): RawRecord[];
  /** What is left when the file ends. */
  end(): RawRecord[];
}
