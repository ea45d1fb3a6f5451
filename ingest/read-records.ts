import { CsvReader } from "./csv/csv-reader.ts";
import { type CsvRows, PlainCsvReader } from "./csv/plain-csv-reader.ts";
import { IngestError } from "./errors.ts";
import type { FileForm, InspectedFile } from "./inspect-file.ts";
import { JsonReader } from "./json/json-reader.ts";
import { ArraySplitter } from "./json/split-elements.ts";
import { ObjectLineSplitter } from "./json/split-lines-of-objects.ts";
import type { RawRecord, RecordReader } from "./record.ts";
import { readContent } from "./text/read-content.ts";

/** Records of a file in the order of its lines, some at a time, with the columns known by then. */
export interface RecordBatch {
  readonly columns: readonly string[];
  readonly records: readonly RawRecord[];
}

type ReadableFile = Pick<InspectedFile, "path" | "bytes" | "encoding" | "form">;

/**
 * Reads a whole file as records.
 *
 * @param onBytes Told how many bytes of the file were read since the last call.
 * @throws {IngestError} where reading fails, or the file is no longer the one that was inspected.
 */
export async function* readRecords(
  file: ReadableFile,
  decimal: "." | ",",
  onBytes: (count: number) => void = () => undefined,
): AsyncGenerator<RecordBatch> {
  const reader = readerFor(file, decimal);
  const decoder = new TextDecoder(file.encoding);
  for await (const piece of readPieces(file, onBytes)) {
    const records = reader.push(decoder.decode(piece, { stream: true }));
    if (records.length > 0) yield { columns: reader.columns, records };
  }
  const last = [...reader.push(decoder.decode()), ...reader.end()];
  if (last.length > 0) yield { columns: reader.columns, records: last };
}

/**
 * Reads a whole file row by row: CSV from its bytes where it is written in one byte a letter or in UTF-8, all else as
 * records.
 *
 * @param rows Is told of every row, in the order of the file.
 * @returns After each piece of the file, the bytes to which what was told of plain rows refers.
 * @throws {IngestError} where reading fails, or the file is no longer the one that was inspected.
 */
export async function* readRows(
  file: ReadableFile,
  decimal: "." | ",",
  rows: CsvRows,
  onBytes: (count: number) => void = () => undefined,
): AsyncGenerator<Uint8Array> {
  const { form, encoding } = file;
  const isPlain = form.name === "csv" && isAscii(form.delimiter) && !encoding.startsWith("utf-16");
  if (!isPlain) {
    for await (const { columns, records } of readRecords(file, decimal, onBytes)) {
      rows.records(columns, records);
      // Not one for all of them: whoever takes it may hand its memory over to another thread.
      yield new Uint8Array(0);
    }
    return;
  }
  const reader = new PlainCsvReader({ delimiter: form.delimiter, decimal, encoding }, rows);
  for await (const piece of readPieces(file, onBytes)) yield reader.push(piece);
  yield reader.end();
}

function isAscii(text: string): boolean {
  return text.length === 1 && text.charCodeAt(0) < 128;
}

/** The bytes of a file's content, piece by piece. */
async function* readPieces(file: ReadableFile, onBytes: (count: number) => void): AsyncGenerator<Buffer> {
  let bytes = 0;
  const onRead = (piece: Buffer) => {
    bytes += piece.length;
    onBytes(piece.length);
  };
  yield* readContent(file.path, onRead);
  if (bytes !== file.bytes) {
    throw new IngestError(
      "file-changed",
      "The file changed while it was being read: nothing of it was kept. Send it again when it is finished.",
    );
  }
}

/** The columns and the first records, from the beginning of a file alone. */
export function readHead(file: InspectedFile, decimal: "." | ","): RecordBatch {
  const reader = readerFor(file, decimal);
  const records = reader.push(file.head);
  if (file.headIsAll) records.push(...reader.end());
  return { columns: reader.columns, records };
}

/**
 * The records of a text that stands for itself, such as one row that was kept.
 *
 * @param header The columns under which it stands; empty for JSON.
 */
export function readText(
  { form, decimal }: { readonly form: FileForm; readonly decimal: "." | "," },
  header: readonly string[],
  text: string,
): RecordBatch {
  if (form.name === "csv") {
    const reader = new CsvReader(form.delimiter, header);
    const records = [...reader.push(text), ...reader.end()];
    return { columns: header, records };
  }
  const reader = readerFor({ form }, decimal);
  const records = [...reader.push(text), ...reader.end()];
  return { columns: reader.columns, records };
}

function readerFor(file: Pick<ReadableFile, "form">, decimal: "." | ","): RecordReader {
  switch (file.form.name) {
    case "csv":
      return new CsvReader(file.form.delimiter);
    case "json-lines":
      return new JsonReader(new ObjectLineSplitter(), decimal);
    case "json-objects":
      return new JsonReader(new ArraySplitter(), decimal);
  }
}
