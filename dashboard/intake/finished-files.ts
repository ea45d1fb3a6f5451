import { type Dirent, existsSync } from "node:fs";
import { readdir, stat } from "node:fs/promises";
import { join } from "node:path";

/** Endings under which programs keep what they have not finished. */
const UNFINISHED = /\.(part|partial|tmp|temp|crdownload|download|filepart)$/i;
const PROFILE = ".profile.json";

interface Seen {
  readonly size: number;
  readonly mtimeMs: number;
  /** When it was first seen so. */
  readonly sinceMs: number;
}

/**
 * Tells which files of a folder are finished: those that have kept size and time for long enough.
 *
 * @remarks Hidden files, folders, profiles and names that programs give to unfinished files are passed over.
 */
export class FinishedFiles {
  readonly #folder: string;
  readonly #restMs: number;
  #seen = new Map<string, Seen>();

  constructor(folder: string, restMs: number) {
    this.#folder = folder;
    this.#restMs = restMs;
  }

  /** Names of the finished files, in order. @param nowMs Any clock that moves evenly. */
  async look(nowMs: number): Promise<string[]> {
    const seen = new Map<string, Seen>();
    const finished: string[] = [];
    for (const entry of await readdir(this.#folder, { withFileTypes: true })) {
      if (!isCandidate(entry)) continue;
      const now = await sizeAndTime(join(this.#folder, entry.name));
      if (now === null) continue;
      const before = this.#seen.get(entry.name);
      const isUnchanged = before?.size === now.size && before.mtimeMs === now.mtimeMs;
      const sinceMs = isUnchanged ? before.sinceMs : nowMs;
      seen.set(entry.name, { ...now, sinceMs });
      if (isUnchanged && nowMs - sinceMs >= this.#restMs) finished.push(entry.name);
    }
    this.#seen = seen;
    return finished.sort();
  }
}

function isCandidate(entry: Dirent): boolean {
  return (
    entry.isFile() &&
    !entry.name.startsWith(".") &&
    !entry.name.startsWith("~") &&
    !entry.name.endsWith(PROFILE) &&
    !UNFINISHED.test(entry.name)
  );
}

/** null for a file that has gone meanwhile. */
async function sizeAndTime(path: string): Promise<Pick<Seen, "size" | "mtimeMs"> | null> {
  try {
    const { size, mtimeMs } = await stat(path);
    return { size, mtimeMs };
  } catch (error) {
    if (existsSync(path)) throw error;
    return null;
  }
}
