import { existsSync } from "node:fs";
import { mkdir, rename, writeFile } from "node:fs/promises";
import { basename, join } from "node:path";
import { type FileReport, ingestPaths, type Store } from "../../ingest/index.ts";
import { Claims } from "./claims.ts";
import { FinishedFiles } from "./finished-files.ts";
import { numberedName } from "./numbered-name.ts";

/** What a look at a watched folder brought: a file, where it lies now, and what came of it. */
export interface TakenFile {
  readonly report: FileReport;
  readonly movedTo: string;
}

export interface WatchOptions {
  readonly store: Store;
  readonly folder: string;
  readonly now: () => number;
  /** How long a file must have kept its size and time. Unit: ms. */
  readonly restMs: number;
  /** A profile that serves all files; without it each is served by the one beside it, if any. */
  readonly profile?: string | undefined;
}

/** A folder into which others put files, and out of which finished ones are taken into the store. */
export class WatchedFolder {
  readonly #options: WatchOptions;
  readonly #finished: FinishedFiles;
  readonly #claims: Claims;

  constructor(options: WatchOptions) {
    this.#options = options;
    this.#finished = new FinishedFiles(options.folder, options.restMs);
    this.#claims = new Claims(options.folder);
  }

  /**
   * Takes in what is finished, and moves each file to `done/`, or to `held/` where it could not be read or rows of it
   * are held back, beside its report.
   *
   * @throws {StoreError} where the store cannot be written: the files are back in the folder then.
   */
  async look(): Promise<readonly TakenFile[]> {
    const { store, folder, now, profile } = this.#options;
    await this.#claims.putBack();
    const claimed: string[] = [];
    for (const name of await this.#finished.look(performance.now())) {
      const path = await this.#claims.take(name);
      if (path !== null) claimed.push(path);
    }
    if (claimed.length === 0) return [];
    try {
      // Together, so that registers come before readings.
      const nameOf = (path: string) => join(folder, basename(path));
      const { files } = await ingestPaths(store, claimed, { now, profile, nameOf });
      const taken: TakenFile[] = [];
      for (const [i, report] of files.entries()) {
        const place = report.error === null && report.quarantined === 0 ? "done" : "held";
        taken.push({ report, movedTo: await settle(claimed[i]!, join(folder, place), report) });
      }
      return taken;
    } finally {
      await this.#claims.putBack();
    }
  }
}

/**
 * Moves a file beside its report, under another name where one of its name is there.
 *
 * @remarks The report is written first and fails where it exists: so two processes never take the same name.
 */
async function settle(path: string, place: string, report: FileReport): Promise<string> {
  await mkdir(place, { recursive: true });
  const text = `${JSON.stringify(report, null, 2)}\n`;
  for (let n = 1; ; n++) {
    const to = join(place, numberedName(basename(path), n));
    if (existsSync(to)) continue;
    try {
      await writeFile(`${to}.report.json`, text, { flag: "wx" });
    } catch (error) {
      if (error instanceof Error && "code" in error && error.code === "EEXIST") continue;
      throw error;
    }
    await rename(path, to);
    return to;
  }
}
