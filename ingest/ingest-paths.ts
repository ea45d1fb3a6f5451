import { sep } from "node:path";
import { IngestError, StoreError } from "./errors.ts";
import { findFiles } from "./find-files.ts";
import { type ImportSetting, importFile } from "./import-file.ts";
import { type OpenedFile, openFile } from "./open-file.ts";
import { Profiles } from "./profile/load-profile.ts";
import { progressTeller, type TellProgress } from "./progress.ts";
import { learnRanges } from "./readings/learn-ranges.ts";
import { RangeConstants } from "./readings/range-constants.ts";
import { addTotals, type FileReport, failedFile, type IngestReport, reportOf, Tally } from "./report.ts";
import { FILE_KINDS, type FileKind, type Registers, type Store } from "./store/store.ts";
import { FileWithinSites } from "./within-sites.ts";
import { keepYoungMemorySmall } from "./young-memory.ts";

/** A file of which it matters how much memory it takes to be read. */
const LARGE_BYTES = 32 * 1_048_576;

/** What a call may ask for besides its paths. */
export interface IngestOptions {
  /** The present time. Unit: ms since 1970-01-01 UTC. */
  readonly now: () => number;
  /** A profile that serves all files of the call; without it each file is served by the one beside it, if any. */
  readonly profile?: string | undefined;
  /** Go through everything and keep nothing. */
  readonly dryRun?: boolean | undefined;
  readonly onProgress?: TellProgress | undefined;
  /** What a file is called in reports and in the store, where it lies elsewhere while it is read. */
  readonly nameOf?: ((path: string) => string) | undefined;
  /** The sites whose units the files may be about; all where nothing is said. */
  readonly sites?: readonly string[] | null | undefined;
}

/**
 * Takes files and folders into the store: registers first, then readings, each file wholly or not at all.
 *
 * @param paths Files, or folders with all that is in them.
 * @returns One report per file in the order in which they were found; a file that failed says why and the others go on.
 * @throws {IngestError} "bad-profile" where the profile of the call cannot be used.
 * @throws {StoreError} where the store cannot be written; files already reported as done stay.
 */
export async function ingestPaths(
  store: Store,
  paths: readonly string[],
  options: IngestOptions,
): Promise<IngestReport> {
  const nameOf = options.nameOf ?? ((path: string) => path);
  const profiles = await Profiles.open(options.profile);
  const found = await findFiles(paths);
  const reports = new Reports();
  const opened: OpenedFile[] = [];
  for (const { path, error } of found) {
    if (error !== null) reports.set(failedFile(path, null, error));
    else
      await reports.attempt(path, null, async () =>
        opened.push(await openFile(path, await profiles.for(path))),
      );
  }

  const fresh: OpenedFile[] = [];
  for (const file of opened) {
    // Somebody who sees some sites is not told what is stored of the others.
    const report = options.sites == null ? await reportOfKnownFile(store, file) : null;
    if (report === null) fresh.push(file);
    else reports.set(report);
  }

  const letGrow = fresh.some(({ bytes }) => bytes >= LARGE_BYTES) ? keepYoungMemorySmall() : null;
  try {
    await importAll(store, fresh, reports, options);
  } finally {
    letGrow?.();
  }

  const files = found.map(({ path }) => ({ ...reports.of(path), file: nameOf(path) }));
  return { files, totals: addTotals(files) };
}

/** Takes files in that were looked at, each wholly or not at all. */
async function importAll(
  store: Store,
  fresh: readonly OpenedFile[],
  reports: Reports,
  options: IngestOptions,
): Promise<void> {
  const nameOf = options.nameOf ?? ((path: string) => path);
  const tell = progressTeller(options.onProgress, options.now, nameOf);
  const ranges = await learnRangesOf(store, fresh, reports, tell);
  const rehearsal = options.dryRun === true ? await store.rehearse() : null;
  let registers: Registers | null = null;
  const setting: ImportSetting = {
    nowMs: options.now(),
    ranges,
    registers: async (intake) => {
      registers ??= await intake.registers();
      return registers;
    },
    beginFile: async (file, takenInAtMs) => {
      const intake = await (rehearsal ?? store).beginFile(nameOf(file), takenInAtMs);
      return options.sites == null ? intake : new FileWithinSites(intake, options.sites);
    },
    onProgress: tell,
  };
  try {
    for (const file of inOrder(fresh)) {
      if (reports.hasFailed(file.path)) continue;
      await reports.attempt(file.path, file.kind, async () => reports.set(await importFile(file, setting)));
    }
  } finally {
    await rehearsal?.end();
  }
}

/** One report per file; the first failure of a file is its last word. */
class Reports {
  readonly #byPath = new Map<string, FileReport>();

  set(report: FileReport): void {
    this.#byPath.set(report.file, report);
  }

  of(path: string): FileReport {
    return this.#byPath.get(path)!;
  }

  hasFailed(path: string): boolean {
    return this.#byPath.has(path);
  }

  /** Does some work on a file; where the file is at fault, that becomes its report. */
  async attempt(path: string, kind: FileKind | null, work: () => Promise<unknown>): Promise<void> {
    try {
      await work();
    } catch (error) {
      if (!(error instanceof IngestError) || error instanceof StoreError) throw error;
      this.set(failedFile(path, kind, error.message));
    }
  }
}

/**
 * The report of a file whose very bytes were taken in before, all of them stored: every row is a repeat.
 *
 * @remarks
 * Not for registers, where a later file may have replaced rows since, and not where rows were held back, which the
 * registers of today may let through.
 */
async function reportOfKnownFile(store: Store, file: OpenedFile): Promise<FileReport | null> {
  if (file.kind !== "readings") return null;
  const before = await store.fileTakenIn(file.sha256, file.profile.sha256);
  if (before === null || before.quarantined > 0) return null;
  return reportOf(file, { ...new Tally().totals(), rows: before.rows, repeated: before.rows });
}

/** What full-scale ranges the units use, by what is stored and by all the files of the call together. */
async function learnRangesOf(
  store: Store,
  files: readonly OpenedFile[],
  reports: Reports,
  tell: ImportSetting["onProgress"],
): Promise<RangeConstants> {
  const ranges = new RangeConstants();
  for (const file of files) {
    if (file.kind !== "readings") continue;
    await reports.attempt(file.path, file.kind, () =>
      learnRanges(file, ranges, (bytes) => tell(file, bytes, 0)),
    );
  }
  for (const instrument of ranges.instruments) {
    ranges.learnStored(instrument, await store.rangeUses(instrument));
  }
  return ranges;
}

/** Registers first, then by name as folders list them: it does not count in which order the files of a call are named. */
function inOrder(files: readonly OpenedFile[]): OpenedFile[] {
  return [...files].sort(
    (a, b) => FILE_KINDS.indexOf(a.kind) - FILE_KINDS.indexOf(b.kind) || byFolders(a.path, b.path),
  );
}

function byFolders(a: string, b: string): number {
  const [ofA, ofB] = [a.split(sep), b.split(sep)];
  const i = ofA.findIndex((name, at) => name !== ofB[at]);
  if (i < 0) return ofA.length - ofB.length;
  return ofB[i] === undefined || ofA[i]! > ofB[i] ? 1 : -1;
}
