import { readdir, realpath, stat } from "node:fs/promises";
import { join } from "node:path";
import { IngestError } from "./errors.ts";
import { plainFileError } from "./text/read-content.ts";

/** A file to be read, or a path that leads to none and why. */
export interface FoundPath {
  readonly path: string;
  readonly error: string | null;
}

const PROFILE_ENDING = ".profile.json";

/**
 * The files behind the paths of a call, each once, those of a folder in the order of their names.
 *
 * @remarks
 * A folder means every file in it and in its subfolders, but no hidden ones and no profiles. Links are followed;
 * one that leads back to a folder already seen is not.
 */
export async function findFiles(paths: readonly string[]): Promise<FoundPath[]> {
  const found: FoundPath[] = [];
  const seen = new Set<string>();
  for (const path of paths) {
    if (path.endsWith(PROFILE_ENDING)) {
      found.push({
        path,
        error: "This is a profile: it serves the file beside it, or all files by --profile.",
      });
    } else if ((await collect(path, seen, found)) === 0) {
      found.push({ path, error: "The folder holds no files." });
    }
  }
  return found;
}

/** Adds the files at a path; answers how many there are, those already seen included. */
async function collect(path: string, seen: Set<string>, found: FoundPath[]): Promise<number> {
  try {
    const what = await stat(path);
    if (!what.isFile() && !what.isDirectory()) {
      throw new IngestError("unreadable-file", "It is neither a file nor a folder.");
    }
    const real = await realpath(path);
    if (seen.has(real)) return 1;
    seen.add(real);
    if (what.isFile()) {
      found.push({ path, error: null });
      return 1;
    }
    let count = 0;
    for (const name of (await readdir(path)).sort()) {
      if (name.startsWith(".") || name.endsWith(PROFILE_ENDING)) continue;
      count += await collect(join(path, name), seen, found);
    }
    return count;
  } catch (error) {
    const plain = plainFileError(error);
    if (!(plain instanceof IngestError)) throw error;
    found.push({ path, error: plain.message });
    return 1;
  }
}
