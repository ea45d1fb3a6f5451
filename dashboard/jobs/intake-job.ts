import { mkdir, mkdtemp, readdir, readFile, rm, stat, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { basename, dirname, join, relative } from "node:path";
import { promisify } from "node:util";
import { gunzip, gzip } from "node:zlib";
import {
  byHand,
  type Hand,
  handAtWork,
  type IngestReport,
  ingestPaths,
  type Store,
} from "../../ingest/index.ts";
import { whoAsks } from "../access/person.ts";
import { CommandError } from "../commands/errors.ts";

/** Files on their way to a worker: their bytes go along, so that it may be on any host. */
export interface IntakeOrder {
  readonly files: readonly SentFile[];
  /** The profile that serves all of them; null: each is served by the one beside it, if any. */
  readonly profile: SentFile | null;
  /** Whoever sends them. */
  readonly hand: Hand;
  /** The sites whose units they may be about; null: all. */
  readonly sites: readonly string[] | null;
}

export interface SentFile {
  /** As it is called in reports. */
  readonly name: string;
  readonly gzipBase64: string;
}

/** A job is one row of the database; a value of its JSON may be up to a quarter of a gigabyte. Unit: bytes. */
const LARGEST_ORDER = 100_000_000;

/**
 * Packs files and folders for a worker.
 *
 * @param nameOf What a file is called in reports.
 * @throws {CommandError} where they cannot be read, or are too much for one job.
 */
export async function packFiles(
  paths: readonly string[],
  profile?: string,
  nameOf = (path: string) => path,
): Promise<IntakeOrder> {
  const files: SentFile[] = [];
  for (const path of paths) {
    for (const file of await filesUnder(path)) files.push({ ...(await packed(file)), name: nameOf(file) });
  }
  const size = files.reduce((sum, { gzipBase64 }) => sum + gzipBase64.length, 0);
  if (size > LARGEST_ORDER) {
    throw new CommandError(
      `These files come to ${Math.round(size / 1e6)} MB packed, and one job takes ${LARGEST_ORDER / 1e6} MB: send them in parts.`,
    );
  }
  return {
    files,
    profile: profile === undefined ? null : await packed(profile),
    hand: handAtWork(),
    sites: whoAsks().sites,
  };
}

/** Takes the files of an order in, as `springtide ingest` would. */
export async function takeInOrder(
  store: Store,
  order: IntakeOrder,
  now: () => number,
): Promise<IngestReport> {
  const folder = await mkdtemp(join(tmpdir(), "springtide-job-"));
  try {
    const names = new Map<string, string>();
    // Files of one folder stay together, as a profile serves the file beside it.
    const folders = [...new Set(order.files.map(({ name }) => dirname(name)))];
    for (const file of order.files) {
      const path = join(folder, `files-${folders.indexOf(dirname(file.name))}`, basename(file.name));
      names.set(path, file.name);
      await unpack(file, path);
    }
    const profile = join(folder, "for-all.profile.json");
    if (order.profile !== null) await unpack(order.profile, profile);
    return await byHand(order.hand, () =>
      ingestPaths(
        store,
        folders.map((_, i) => join(folder, `files-${i}`)),
        {
          now,
          nameOf: (path) => names.get(path) ?? path,
          sites: order.sites,
          ...(order.profile !== null && { profile }),
        },
      ),
    );
  } finally {
    await rm(folder, { recursive: true, force: true });
  }
}

async function filesUnder(path: string): Promise<string[]> {
  try {
    if ((await stat(path)).isFile()) return [path];
    const entries = await readdir(path, { recursive: true, withFileTypes: true });
    return entries
      .filter((entry) => entry.isFile() && !entry.name.startsWith("."))
      .map((entry) => join(path, relative(path, entry.parentPath), entry.name))
      .sort();
  } catch (error) {
    throw new CommandError(`${path} cannot be read: check that it is there and may be read.`, {
      cause: error,
    });
  }
}

async function packed(path: string): Promise<SentFile> {
  const bytes = await promisify(gzip)(await readFile(path));
  return { name: path, gzipBase64: bytes.toString("base64") };
}

async function unpack({ gzipBase64 }: SentFile, path: string): Promise<void> {
  await mkdir(dirname(path), { recursive: true });
  await writeFile(path, await promisify(gunzip)(Buffer.from(gzipBase64, "base64")));
}
