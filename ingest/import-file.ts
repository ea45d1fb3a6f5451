import { type HeldPlace, inFile } from "./held/held-place.ts";
import type { OpenedFile } from "./open-file.ts";
import { readRecords } from "./read-records.ts";
import { judgeFile } from "./readings/judge-file.ts";
import type { RangeConstants } from "./readings/range-constants.ts";
import { ReadingTaker } from "./readings/reading-taker.ts";
import { registerTaker } from "./registers/register-taker.ts";
import { type FileReport, reportOf, Tally } from "./report.ts";
import type { FileIntake, FileKind, Registers } from "./store/store.ts";

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
    const onBytes = (count: number) => setting.onProgress(file, count, tally.rows);
    if (file.kind === "readings") await takeReadings(file, intake, held, setting, tally, onBytes);
    else await takeRegister(file, file.kind, intake, held, tally, onBytes);
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

async function takeReadings(
  file: OpenedFile,
  intake: FileIntake,
  held: HeldPlace,
  { registers: registersOf, ranges, nowMs }: ImportSetting,
  tally: Tally,
  onBytes: (count: number) => void,
): Promise<void> {
  const registers = await registersOf(intake);
  const taker = new ReadingTaker(intake, held, registers.fluids.keys(), tally);
  for await (const batch of judgeFile(file, { ranges, registers, nowMs }, onBytes)) await taker.take(batch);
  await taker.end();
}

async function takeRegister(
  file: OpenedFile,
  kind: Exclude<FileKind, "readings">,
  intake: FileIntake,
  held: HeldPlace,
  tally: Tally,
  onBytes: (count: number) => void,
): Promise<void> {
  const taker = registerTaker(file, kind, intake, held, tally);
  for await (const batch of readRecords(file, file.decimal, onBytes)) await taker.take(batch);
  await taker.end();
}
