import { createReadStream } from "node:fs";
import { open } from "node:fs/promises";
import { pipeline } from "node:stream";
import { createGunzip } from "node:zlib";
import { IngestError } from "../errors.ts";

const PIECE_BYTES = 262_144;

/** Tables of text fold about tenfold; what unfolds beyond this is meant to fill the machine. */
const MAX_UNFOLDING = 200;
const UNFOLDING_FREE_BYTES = 64 * 1_048_576;

/**
 * The bytes of a file, unzipped where it is a gzip file.
 *
 * @param onRead Told the bytes as they stand in the file.
 * @throws {IngestError} "unreadable-file", "bad-gzip" or "unfolds-too-far".
 */
export async function* readContent(path: string, onRead: (bytes: Buffer) => void): AsyncGenerator<Buffer> {
  try {
    const isZipped = await beginsAsGzip(path);
    const file = createReadStream(path, { highWaterMark: PIECE_BYTES });
    if (!isZipped) {
      for await (const bytes of file) {
        onRead(bytes);
        yield bytes;
      }
      return;
    }

    let read = 0;
    let unfolded = 0;
    file.on("data", (bytes) => {
      read += bytes.length;
      onRead(bytes as Buffer);
    });
    // A failure of either stream reaches the loop below through the second one.
    const content = pipeline(file, createGunzip({ chunkSize: PIECE_BYTES }), () => undefined);
    for await (const bytes of content) {
      unfolded += bytes.length;
      if (unfolded > UNFOLDING_FREE_BYTES && unfolded > MAX_UNFOLDING * read) {
        throw new IngestError(
          "unfolds-too-far",
          `The file unfolds to more than ${MAX_UNFOLDING} times its size: it was not unzipped further.`,
        );
      }
      yield bytes;
    }
  } catch (error) {
    throw plainFileError(error);
  }
}

async function beginsAsGzip(path: string): Promise<boolean> {
  const file = await open(path);
  try {
    const { buffer, bytesRead } = await file.read(Buffer.alloc(2), 0, 2, 0);
    return bytesRead === 2 && buffer[0] === 0x1f && buffer[1] === 0x8b;
  } finally {
    await file.close();
  }
}

/** Turns a failure to read into one clear line; anything else passes unchanged. */
export function plainFileError(error: unknown): unknown {
  if (!(error instanceof Error) || !("code" in error) || error instanceof IngestError) return error;
  const say = (code: string, message: string) => new IngestError(code, message, { cause: error });
  switch (error.code) {
    case "ENOENT":
      return say("no-such-file", "There is no such file or folder.");
    case "EACCES":
    case "EPERM":
      return say("unreadable-file", "It may not be read: check its rights.");
    case "Z_DATA_ERROR":
    case "Z_BUF_ERROR":
      return say("bad-gzip", "The gzip file is damaged or cut short.");
    default:
      return typeof error.code === "string" && /^E[A-Z]+$/.test(error.code)
        ? say("unreadable-file", `It cannot be read (${error.code}).`)
        : error;
  }
}
