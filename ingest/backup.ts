import { createHash, randomUUID } from "node:crypto";
import { createReadStream, existsSync } from "node:fs";
import { copyFile, mkdtemp, readdir, readFile, rename, rm, stat, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { basename, dirname, join } from "node:path";
import { pipeline } from "node:stream/promises";
import { type CopiedTable, type CopyOptions, copyStore } from "./copy-store.ts";
import { IngestError, StoreError } from "./errors.ts";
import { openStore } from "./store/open-store.ts";
import { sealFile } from "./store/sqlite/seal-file.ts";
import type { Store } from "./store/store.ts";
import { proveTrail, type TrailProof } from "./store/trail.ts";

/** A backup: a store in one SQLite file, whatever database it was made from. */
export interface Backup {
  readonly file: string;
  readonly tables: readonly CopiedTable[];
  /** How far the backup's own trail holds together. */
  readonly trail: TrailProof;
  /** Of the file; it stands in `FILE.sha256` too, as `sha256sum --check` reads it. */
  readonly sha256: string;
}

/**
 * What lets somebody in at the moment stays behind: a backup lies where others may come to it, and in a store that was
 * restored a session that had ended, or a token that was revoked meanwhile, would let people in again.
 */
const NEVER_BACKED_UP: ReadonlySet<string> = new Set(["session", "api_token", "sign_in_attempt"]);

const DAY_MS = 86_400_000;

/**
 * Writes everything that a store holds at one moment into a file, while others go on reading and writing it.
 *
 * @remarks The file has its name only when it is whole: every row was read back and compared, SQLite has checked it, and
 * its trail was followed.
 * @param replace Put it in the place of a file that is there.
 * @throws {IngestError} "backup-exists", "backup-unwritable", "disk-full"; {StoreError} as `copyStore`.
 */
export async function backUp(
  store: Store,
  file: string,
  { replace = false, onTable }: Pick<CopyOptions, "onTable"> & { readonly replace?: boolean } = {},
): Promise<Backup> {
  refuseOverwriting(file, replace);
  const part = `${file}.${randomUUID()}.part`;
  try {
    await removeBroken(file);
    // It holds what people sign in with: nobody else on the machine may read it.
    await writeFile(part, "", { flag: "wx", mode: 0o600 });
    const { tables, trail } = await writePart(store, part, onTable);
    const sha256 = await sha256Of(part);
    refuseOverwriting(file, replace);
    // Without its digest for a moment, never with another's.
    await rm(digestFile(file), { force: true });
    await rename(part, file);
    await writeFile(digestFile(file), `${sha256}  ${basename(file)}\n`);
    return { file, tables, trail, sha256 };
  } catch (error) {
    for (const left of [part, `${part}-wal`, `${part}-shm`, `${part}-journal`])
      await rm(left, { force: true });
    throw plainError(error, file);
  }
}

async function writePart(store: Store, part: string, onTable: CopyOptions["onTable"]) {
  const copy = await openStore(`sqlite:${part}`);
  let tables: CopiedTable[];
  let trail: TrailProof;
  try {
    tables = await copyStore(store, copy, { leaveOut: NEVER_BACKED_UP, onTable });
    trail = await proveTrail(copy.trail);
  } finally {
    await copy.close();
  }
  sealFile(part, new Map(tables.map(({ table, rows }) => [table, rows])));
  return { tables, trail };
}

/** What a backup to this file left that was killed: none of ours takes a day. */
async function removeBroken(file: string): Promise<void> {
  const folder = dirname(file);
  for (const name of await readdir(folder)) {
    if (!name.startsWith(`${basename(file)}.`) || !/\.part(-wal|-shm|-journal)?$/.test(name)) continue;
    const { mtimeMs } = await stat(join(folder, name));
    if (Date.now() - mtimeMs > DAY_MS) await rm(join(folder, name), { force: true });
  }
}

function refuseOverwriting(file: string, replace: boolean): void {
  if (replace || !existsSync(file)) return;
  throw new IngestError("backup-exists", `${file} is there already: name another file, or say --force.`);
}

function plainError(error: unknown, file: string): unknown {
  if (!(error instanceof Error)) return error;
  const code = "code" in error ? String(error.code) : "";
  const because = { cause: error };
  if (code === "disk-full" || code === "ENOSPC" || code === "EDQUOT" || code === "EFBIG") {
    return new IngestError(
      "disk-full",
      `There is no room for the backup ${file}: nothing was left of it.`,
      because,
    );
  }
  if (/^E[A-Z]+$/.test(code)) {
    return new IngestError(
      "backup-unwritable",
      `The backup ${file} cannot be written (${code}): check that its folder exists and may be written.`,
      because,
    );
  }
  return error;
}

/** What came of a backup that was put into a store. */
export interface Restored {
  readonly tables: readonly CopiedTable[];
  /** The backup's trail, as far as it holds together. */
  readonly trail: TrailProof;
  readonly sha256: string;
  /** Whether a digest stood beside the backup; where it did, it is the same. */
  readonly hadDigest: boolean;
  /** What the store held before; null where it was empty. */
  readonly kept: Backup | null;
}

/**
 * Puts a backup into a store: an empty one, or in place of what a store holds, which is backed up first.
 *
 * @remarks
 * In place, the store keeps its own trail, which goes on with an entry that says so, and its revision goes on: servers
 * that have it open see that it is another. The backup must be of the same store: its trail must be the beginning of
 * the store's.
 *
 * @param keepAs Where what the store holds is kept first; null: the store must be empty.
 * @throws {IngestError} "no-backup", "backup-changed" where its digest is another; {StoreError} "store-not-empty",
 *   "other-store", "store-changed" where somebody changed the store meanwhile, and as `openStore`.
 */
export async function restore(
  file: string,
  store: Store,
  { keepAs = null, onTable }: Pick<CopyOptions, "onTable"> & { readonly keepAs?: string | null } = {},
): Promise<Restored> {
  const folder = await mkdtemp(join(tmpdir(), "springtide-restore-"));
  try {
    // A copy: a backup that an earlier version made is brought up to date, and stays as it is itself.
    const copy = join(folder, "backup.sqlite");
    await copyFile(file, copy).catch((error: Error) => {
      throw new IngestError("no-backup", `The backup ${file} cannot be read: check its name.`, {
        cause: error,
      });
    });
    const sha256 = await sha256Of(copy);
    const hadDigest = await holdsDigest(file, sha256);
    const backup = await openStore(`sqlite:${copy}`, { create: false }).catch((error: unknown) => {
      if (!(error instanceof StoreError) || error.code !== "not-a-store") throw error;
      throw new StoreError("not-a-store", `${file} is no backup of a store: name another file.`, {
        cause: error,
      });
    });
    try {
      const trail = await proveTrail(backup.trail);
      const kept = keepAs === null ? null : await backUp(store, keepAs);
      const tables = await copyStore(backup, store, {
        onTable,
        inPlace: kept !== null,
        note: async () => {
          if (kept !== null) await refuseOthers(store, file, { trail, kept });
          return {
            action: "restored",
            about: basename(file),
            before:
              kept === null ? null : { entries: kept.trail.entries, kept_as: kept.file, sha256: kept.sha256 },
            after: { entries: trail.entries, head: trail.head, sha256 },
          };
        },
      });
      return { tables, trail, sha256, hadDigest, kept };
    } finally {
      await backup.close();
    }
  } finally {
    await rm(folder, { recursive: true, force: true });
  }
}

/** While nobody else can write: whether the backup is of this store, and all of the store was kept. */
async function refuseOthers(
  store: Store,
  file: string,
  { trail, kept }: { readonly trail: TrailProof; readonly kept: Backup },
): Promise<void> {
  const [last] =
    trail.entries === 0 ? [] : await store.trail.list({ after: trail.entries - 1 }, { offset: 0, limit: 1 });
  if (trail.brokenAt !== null || (trail.entries > 0 && last?.hash !== trail.head)) {
    throw new StoreError(
      "other-store",
      `The trail of the backup ${file} is not the beginning of this store\u2019s: it is another store\u2019s, and goes into an empty one.`,
    );
  }
  const entries = await store.trail.count({});
  if (entries === kept.trail.entries) return;
  throw new StoreError(
    "store-changed",
    `Somebody changed the store after it was kept as ${kept.file}: it stays as it is; try again.`,
  );
}

const digestFile = (file: string) => `${file}.sha256`;

async function sha256Of(file: string): Promise<string> {
  const hash = createHash("sha256");
  await pipeline(createReadStream(file), hash);
  return hash.digest("hex");
}

/** @returns Whether a digest stands beside. @throws {IngestError} "backup-changed" where it is another. */
async function holdsDigest(file: string, sha256: string): Promise<boolean> {
  const beside = digestFile(file);
  if (!existsSync(beside)) return false;
  const [known] = (await readFile(beside, "utf8")).trim().split(/\s+/);
  if (known === sha256) return true;
  throw new IngestError(
    "backup-changed",
    `${file} is not as it was written: its SHA-256 is not the one in ${beside}. Take another backup.`,
  );
}
