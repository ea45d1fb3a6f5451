import { createHash } from "node:crypto";
import { IngestError } from "./errors.ts";
import { type Encoding, markedEncoding, Utf8Watch } from "./text/encoding.ts";
import { readContent } from "./text/read-content.ts";

/** How much of a file's beginning is looked at to tell its form and its columns. */
const HEAD_BYTES = 262_144;
const LINES_LOOKED_AT = 20;

/** What is known of a file before it is read. */
export interface InspectedFile {
  readonly path: string;
  readonly sha256: string;
  /** As it stands on the disk. */
  readonly bytes: number;
  readonly encoding: Encoding;
  readonly form: FileForm;
  /** The beginning of its text; all of it where `headIsAll`. */
  readonly head: string;
  readonly headIsAll: boolean;
}

export type FileForm =
  | { readonly name: "csv"; readonly delimiter: string }
  | { readonly name: "json-objects" }
  | { readonly name: "json-lines" };

/** What a profile says about the bytes, in place of what would be found. */
export interface GivenForm {
  readonly encoding?: Encoding | undefined;
  readonly delimiter?: string | undefined;
}

/**
 * Reads a file once, for its digest, its encoding and its beginning.
 *
 * @throws {IngestError} where it cannot be read, is empty, or is no text.
 */
export async function inspectFile(path: string, given: GivenForm = {}): Promise<InspectedFile> {
  const hash = createHash("sha256");
  const utf8 = new Utf8Watch();
  const beginning: Buffer[] = [];
  let bytes = 0;
  let content = 0;
  const onRead = (piece: Buffer) => {
    hash.update(piece);
    bytes += piece.length;
  };
  for await (const piece of readContent(path, onRead)) {
    if (content < HEAD_BYTES) beginning.push(piece);
    content += piece.length;
    utf8.push(piece);
  }
  const headBytes = Buffer.concat(beginning).subarray(0, HEAD_BYTES);
  const encoding = given.encoding ?? markedEncoding(headBytes) ?? (utf8.end() ? "utf-8" : "windows-1252");
  const headIsAll = content <= HEAD_BYTES;
  const head = new TextDecoder(encoding).decode(headBytes, { stream: !headIsAll });

  if (head.trim() === "") throw new IngestError("empty-file", "The file is empty.");
  if (firstLine(head).includes("\0"))
    throw new IngestError(
      "no-text",
      "The file is no text: CSV, JSON or NDJSON is expected, zipped by gzip at most.",
    );
  return {
    path,
    sha256: hash.digest("hex"),
    bytes,
    encoding,
    form: formOf(head, given.delimiter),
    head,
    headIsAll,
  };
}

/** Told by most of the first lines: any one of them may be broken. */
function formOf(head: string, delimiter: string | undefined): FileForm {
  const lines = head
    .split(/[\r\n]+/, LINES_LOOKED_AT + 1)
    .map((line) => line.trim())
    .filter((line) => line !== "");
  // The last one may have been cut off.
  const whole = lines.length > 1 ? lines.slice(0, -1) : lines;
  const objects = whole.filter((line) => line.startsWith("{") && line.endsWith("}")).length;
  if (2 * objects > whole.length) return { name: "json-lines" };
  const line = firstLine(head);
  if (line.startsWith("[") || line.startsWith("{")) return { name: "json-objects" };
  return { name: "csv", delimiter: delimiter ?? delimiterOf(line) };
}

function firstLine(text: string): string {
  return /[^\r\n]+/.exec(text.trimStart())?.[0] ?? "";
}

/** The separator that stands most often in a header, outside quotes. */
function delimiterOf(header: string): string {
  const bare = header.replace(/"[^"]*"/g, "");
  const counts = [",", ";", "\t"].map((delimiter) => ({ delimiter, count: bare.split(delimiter).length }));
  return counts.reduce((best, next) => (next.count > best.count ? next : best)).delimiter;
}
