import { TimeReader } from "./columns/parse-time.ts";
import { inFile } from "./held/held-place.ts";
import type { OpenedFile } from "./open-file.ts";
import { type RecordBatch, readRecords } from "./read-records.ts";
import type { ReadingContext } from "./readings/draft.ts";
import type { RangeConstants } from "./readings/range-constants.ts";
import { ReadingTaker } from "./readings/reading-taker.ts";
import { registerTaker } from "./registers/register-taker.ts";
import { type FileReport, reportOf, Tally } from "./report.ts";
import type { FileIntake, Registers } from "./store/store.ts";
import type { WayOfReading } from "./way-of-reading.ts";

/** Takes the records of one file into the store, and counts. */
export interface RowTaker {
  take(batch: RecordBatch): Promise<void>;
  /** What can only be done when all rows are in. */
  end(): Promise<void>;
}

/** What the files of one call share. */
export interface ImportSetting {
  readonly nowMs: number;
  readonly ranges: RangeConstants;
  /** The registers once all register files of the call are in; asked for by the first file of readings. */
  readonly registers: (intake: FileIntake) => Promise<Registers>;
  readonly beginFile: (file: string, takenInAtMs: number) => Promise<FileIntake>;
  /** Told how much more of a file was read, and how many rows it has brought so far. */
  readonly onProgress: (file: OpenedFile, bytes: number, rows: number) => void;
}

/**
 * Takes one file into the store: all of it, or nothing.
 *
 * @throws {IngestError} where the file cannot be read to its end, or the store cannot keep it.
 */
export async function importFile(file: OpenedFile, setting: ImportSetting): Promise<FileReport> {
  const tally = new Tally();
  const intake = await setting.beginFile(file.path, setting.nowMs);
  const held = inFile(file, intake);
  try {
    const taker: RowTaker =
      file.kind === "readings"
        ? new ReadingTaker(
            file,
            intake,
            held,
            readingContext(file, setting.ranges, await setting.registers(intake), setting.nowMs),
            tally,
          )
        : registerTaker(file, file.kind, intake, held, tally);
    const onBytes = (count: number) => setting.onProgress(file, count, tally.rows);
    for await (const batch of readRecords(file, file.decimal, onBytes)) await taker.take(batch);
    await taker.end();
    await intake.commit({
      kind: file.kind,
      sha256: file.sha256,
      profileSha256: file.profile.sha256,
      ...tally.totals(),
    });
  } catch (error) {
    await intake.rollback();
    throw error;
  }
  return reportOf(file, tally.totals(), tally);
}

/** All that readings of a file are judged by. */
export function readingContext(
  { profile, decimal }: WayOfReading,
  ranges: RangeConstants,
  registers: Registers,
  nowMs: number,
): ReadingContext {
  const { toOwnUnit, stageWords, times } = profile;
  return { registers, ranges, nowMs, times: new TimeReader(times), decimal, toOwnUnit, stageWords };
}
