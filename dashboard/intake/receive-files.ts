import { createWriteStream } from "node:fs";
import { mkdtemp, rm } from "node:fs/promises";
import type { IncomingMessage } from "node:http";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { finished, PassThrough, type Readable, Transform } from "node:stream";
import { pipeline } from "node:stream/promises";
import { Busboy } from "@fastify/busboy";
import { HttpError } from "../errors.ts";
import { plainFileName } from "./file-name.ts";

/** Files that came with a request, in a folder of their own until they are taken in. */
export interface ReceivedFiles {
  readonly folder: string;
  /** Plain names, in the order in which they came. */
  readonly names: readonly string[];
  remove(): Promise<void>;
}

const MOST_FILES = 200;

/**
 * Writes the files of a request to a folder, piece by piece: the parts of a form, or the body as one file.
 *
 * @param nameOfBody Name of the file that the body is, where it is no form.
 * @param mostBytes For all files together.
 * @throws {HttpError} 400 for a name that is none or a form that breaks off, 413 for too much.
 */
export async function receiveFiles(
  request: IncomingMessage,
  nameOfBody: string,
  mostBytes: number,
): Promise<ReceivedFiles> {
  if (Number(request.headers["content-length"] ?? 0) > mostBytes) throw tooLarge(mostBytes);
  const folder = await mkdtemp(join(tmpdir(), "springtide-intake-"));
  const remove = () => rm(folder, { recursive: true, force: true });
  try {
    const write = boundedWriter(folder, mostBytes);
    const isForm = /^multipart\/form-data\b/i.test(request.headers["content-type"] ?? "");
    if (isForm) await receiveForm(request, write);
    else await write(nameOfBody, bodyOf(request));
    if (write.names.length === 0) {
      throw new HttpError(400, "No file came with the request.", "Choose one or more files, then send them.");
    }
    return { folder, names: write.names, remove };
  } catch (error) {
    await remove();
    // Whoever sent it is gone, and nobody else need be told.
    if (request.readableAborted) throw new HttpError(400, "The file broke off.", "Send it again.");
    throw error;
  }
}

/** Writes one file after the other, or several at once, as long as they stay within a bound together. */
function boundedWriter(folder: string, mostBytes: number) {
  let bytes = 0;
  const names: string[] = [];
  const write = async (given: string, content: Readable): Promise<void> => {
    const name = plainFileName(given);
    if (names.some((other) => other.toLowerCase() === name.toLowerCase())) {
      throw new HttpError(400, `Two files are called ${name}.`, "Send them one after the other.");
    }
    if (names.length >= MOST_FILES) {
      throw new HttpError(413, `More than ${MOST_FILES} files came at once.`, "Send some, then the others.");
    }
    names.push(name);
    const bound = new Transform({
      transform: (piece: Buffer, _encoding, done) => {
        bytes += piece.length;
        done(bytes > mostBytes ? tooLarge(mostBytes) : null, piece);
      },
    });
    await pipeline(content, bound, createWriteStream(join(folder, name), { flags: "wx" }));
  };
  return Object.assign(write, { names: names as readonly string[] });
}

/** The body of a request as a stream that may fail without the connection, on which the answer still has to go out. */
function bodyOf(request: IncomingMessage): Readable {
  const body = new PassThrough();
  finished(request, (error) => {
    if (error) body.destroy(error);
  });
  return request.pipe(body);
}

async function receiveForm(
  request: IncomingMessage,
  write: (name: string, content: Readable) => Promise<void>,
): Promise<void> {
  const written: Promise<void>[] = [];
  const parts: Readable[] = [];
  const failed = Promise.withResolvers<never>();
  // Told to whoever waits below; until then nobody does.
  failed.promise.catch(() => undefined);
  try {
    const form = new Busboy({
      headers: { ...request.headers, "content-type": request.headers["content-type"] ?? "" },
      // The name as it was sent, so that a path in it is seen.
      preservePath: true,
      limits: { fieldSize: 10_000, fields: 20, headerPairs: 50 },
    });
    form.on("file", (_field, content, name) => {
      // A form in which no file was chosen sends one without a name.
      if (name === undefined || name === "") {
        content.resume();
        return;
      }
      parts.push(content);
      const done = write(name, content);
      written.push(done);
      done.catch(failed.reject);
    });
    await Promise.race([pipeline(request, form), failed.promise]);
    await Promise.all(written);
  } catch (error) {
    for (const part of parts) part.destroy();
    await Promise.allSettled(written);
    if (error instanceof HttpError) throw error;
    throw new HttpError(400, "The form broke off or cannot be read.", "Send the files again.");
  }
}

function tooLarge(mostBytes: number): HttpError {
  return new HttpError(
    413,
    `More than ${Math.floor(mostBytes / 1_048_576)} MiB came at once.`,
    "Send fewer or smaller files (gzip helps), or use springtide ingest.",
  );
}
