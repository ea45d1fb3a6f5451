import { randomUUID } from "node:crypto";
import { existsSync } from "node:fs";
import { copyFile, mkdir, readdir, rename, rm } from "node:fs/promises";
import { basename, extname, join } from "node:path";
import { numberedName } from "./numbered-name.ts";

/** Where files lie while they are taken in: one folder for each that takes them, named by its process. */
const CLAIMS = ".taking-in";

/**
 * Files that one process has taken for itself out of a watched folder.
 *
 * @remarks
 * A file is claimed by moving it, which only one of several processes can do. Where a process died over its claims,
 * the next one puts them back; the store knows what had come in.
 */
export class Claims {
  readonly #folder: string;
  readonly #id = `${process.pid}-${randomUUID()}`;
  readonly #own: string;

  constructor(folder: string) {
    this.#folder = folder;
    this.#own = join(folder, CLAIMS, this.#id);
  }

  /** @returns Path of the file as claimed, with its own profile beside it; null where another process was quicker. */
  async take(name: string): Promise<string | null> {
    await mkdir(this.#own, { recursive: true });
    const claimed = join(this.#own, name);
    if (!(await moved(join(this.#folder, name), claimed))) return null;
    const profile = profileOf(name);
    await copyFile(join(this.#folder, profile), join(this.#own, profile)).catch(unlessGone);
    return claimed;
  }

  /** Puts back what was claimed and not settled, by these claims or by a process that is no more. */
  async putBack(): Promise<void> {
    for (const id of await readdir(join(this.#folder, CLAIMS)).catch(() => [])) {
      if (id !== this.#id && isAlive(Number.parseInt(id, 10))) continue;
      const claims = join(this.#folder, CLAIMS, id);
      for (const name of await readdir(claims).catch(() => [])) {
        // Of profiles there are only copies here.
        if (!name.endsWith(".profile.json")) await moved(join(claims, name), this.#freePlace(name));
      }
      await rm(claims, { recursive: true, force: true });
    }
  }

  /** Meanwhile another file of the name may have come. */
  #freePlace(name: string): string {
    for (let n = 1; ; n++) {
      const path = join(this.#folder, numberedName(name, n));
      if (!existsSync(path)) return path;
    }
  }
}

/** NAME.profile.json for NAME.csv and NAME.csv.gz. */
function profileOf(name: string): string {
  const unzipped = name.replace(/\.gz$/i, "");
  return `${basename(unzipped, extname(unzipped))}.profile.json`;
}

/** Moves a file; false where it is not there any more. */
async function moved(from: string, to: string): Promise<boolean> {
  try {
    await rename(from, to);
    return true;
  } catch (error) {
    unlessGone(error);
    return false;
  }
}

function unlessGone(error: unknown): void {
  if (!(error instanceof Error && "code" in error && error.code === "ENOENT")) throw error;
}

function isAlive(pid: number): boolean {
  try {
    process.kill(pid, 0);
    return true;
  } catch (error) {
    // It is there and belongs to somebody else.
    return error instanceof Error && "code" in error && error.code === "EPERM";
  }
}
