import type { IncomingMessage } from "node:http";
import { join, relative } from "node:path";
import { type IngestReport, ingestPaths, type Store } from "../../ingest/index.ts";
import { whoAsks } from "../access/person.ts";
import { receiveFiles } from "./receive-files.ts";

/** Where files and decisions come in by way of the pages. */
export interface IntakeDesk {
  readonly store: Store;
  readonly now: () => number;
  /** For all files of one request. */
  readonly mostBytes: number;
  /** Takes received files in elsewhere; left out: here. */
  readonly takeIn?: TakeIn | undefined;
}

/** Takes the files of a folder into the store, `paths` of them; profiles serve the files beside them. */
export type TakeIn = (
  folder: string,
  paths: readonly string[],
  nameOf: (path: string) => string,
) => Promise<IngestReport>;

/** What one request may bring. */
export const MOST_BYTES = 512 * 1_048_576;

/** Takes the files of a request into the store; the same answer as `ingest --json`, with the names as sent. */
export async function takeInRequest(
  { store, now, mostBytes, takeIn = takeInHere(store, now) }: IntakeDesk,
  request: IncomingMessage,
  nameOfBody: string,
): Promise<IngestReport> {
  const { folder, names, remove } = await receiveFiles(request, nameOfBody, mostBytes);
  try {
    // A profile that came along serves the file of its name; it is no file to be read.
    const files = names.filter((name) => !name.endsWith(".profile.json"));
    const paths = (files.length > 0 ? files : names).map((name) => join(folder, name));
    return await takeIn(folder, paths, (path) => relative(folder, path));
  } finally {
    await remove();
  }
}

function takeInHere(store: Store, now: () => number): TakeIn {
  return (_folder, paths, nameOf) => ingestPaths(store, paths, { now, nameOf, sites: whoAsks().sites });
}
