import type { CsvRows } from "../csv/plain-csv-reader.ts";
import type { PlainRow } from "../csv/plain-row.ts";
import type { RawRecord } from "../record.ts";
import { recordProblem } from "../record-fields.ts";
import { BatchBuilder } from "../store/reading-batch.ts";
import type { QuarantinedRow, ReadingRecord, Reason, RowPlace } from "../store/store.ts";
import type { Encoding } from "../text/encoding.ts";
import type { WayOfReading } from "../way-of-reading.ts";
import {
  draftReading,
  type ReadingContext,
  type ReadingDraft,
  type ReadingText,
  stageOf,
  type WrittenReading,
  writtenReading,
} from "./draft.ts";
import { flagReading } from "./flags.ts";
import type { JudgedBatch, ObjectedReading } from "./judged-batch.ts";
import {
  isEmptySet,
  type PlainSet,
  plainKinds,
  plainNumber,
  plainSets,
  plainText,
} from "./plain-readings.ts";
import { readingTextsOf, type TextReading } from "./reading-texts.ts";
import { judge } from "./sense-checks.ts";

/** These rest on what else is known, which may have grown since the same reading was accepted. */
const MAY_BE_STORED: ReadonlySet<Reason> = new Set(["unit-mixup", "range-disagrees", "reading-disagrees"]);

/** Stands for the text of a number that a plain row has: only a row that is not sound needs the text itself. */
const GIVEN = "given";

const NO_BYTES = new Uint8Array(0);

/** Judges the readings of one file, row by row, and gives them by the batch. Knows of no store. */
export class ReadingJudge implements CsvRows {
  readonly #way: WayOfReading;
  readonly #context: ReadingContext;
  readonly #textsOf: (columns: readonly string[], record: RawRecord) => TextReading[];
  #sets: readonly PlainSet[] = [];
  #columns: readonly string[] = [];
  #batch = new Batch();

  constructor(way: WayOfReading, context: ReadingContext) {
    this.#way = way;
    this.#context = context;
    this.#textsOf = readingTextsOf(way);
  }

  kindsOf(columns: readonly string[]) {
    this.#columns = columns;
    this.#sets = plainSets(columns, this.#way);
    return plainKinds(columns, this.#way);
  }

  /** Takes the readings of a plain row where all of them are sound. */
  plain(row: PlainRow): boolean {
    const [first] = this.#sets;
    if (this.#sets.length === 1) {
      const draft = this.#soundDraft(row, first!);
      if (draft === null) return false;
      this.#addPlain(draft, row, first!.number);
      return true;
    }
    const drafts: (readonly [draft: ReadingDraft, part: number])[] = [];
    for (const set of this.#sets) {
      if (isEmptySet(row, set)) continue;
      const draft = this.#soundDraft(row, set);
      if (draft === null) return false;
      drafts.push([draft, set.number]);
    }
    for (const [draft, part] of drafts) this.#addPlain(draft, row, part);
    return drafts.length > 0;
  }

  records(columns: readonly string[], records: readonly RawRecord[]): void {
    this.#columns = columns;
    for (const record of records) {
      const message = recordProblem(record);
      if (message === null) {
        for (const reading of this.#textsOf(columns, record)) this.#judge(reading);
      } else {
        const { line, column, part, raw } = record;
        const row = { line, column, part, raw, instrument: null, site: this.#way.constants.site ?? null };
        this.#batch.object({ ...row, reason: "unreadable-row", message }, null);
      }
    }
  }

  /** All that was judged since the last call. @param bytes Those that plain rows were read from. */
  batch(bytes: Uint8Array = NO_BYTES, encoding: Encoding = "utf-8"): JudgedBatch {
    const batch = this.#batch.finished(this.#columns, bytes, encoding);
    this.#batch = new Batch();
    return batch;
  }

  #judge({ record, part, text }: TextReading): void {
    const draft = draftReading(writtenReading(text, this.#context), this.#context);
    if (draft.lot === undefined && text.fluid_lot !== "") this.#batch.countUnknown(text.fluid_lot);
    const against = judge(draft, this.#context);
    const place = { line: record.line, column: record.column, part, raw: record.raw };
    if (against === null) {
      this.#batch.add(toReading(draft, record.line), place);
      return;
    }
    const row = { ...place, instrument: text.instrument || null, site: text.site || null, ...against };
    this.#batch.object(row, MAY_BE_STORED.has(against.reason) ? toReading(draft, record.line) : null);
  }

  #soundDraft(row: PlainRow, set: PlainSet): ReadingDraft | null {
    const draft = draftReading(this.#written(row, set), this.#context);
    return judge(draft, this.#context) === null ? draft : null;
  }

  #addPlain(draft: ReadingDraft, row: PlainRow, part: number): void {
    const { fluid_lot: fluidLot } = draft.text;
    if (draft.lot === undefined && fluidLot !== "") this.#batch.countUnknown(fluidLot);
    this.#batch.addPlain(toReading(draft, row.line), part, row);
  }

  #written(row: PlainRow, set: PlainSet): WrittenReading {
    const { stageWords, times } = this.#context;
    const speedRpm = plainNumber(row, set.speedRpm);
    const readingMPaS = plainNumber(row, set.readingMPaS);
    const fluidValueMPaS = plainNumber(row, set.fluidValueMPaS);
    const fullScaleRangeMPaS = plainNumber(row, set.fullScaleRangeMPaS);
    const torquePercent = plainNumber(row, set.torquePercent);
    const temperatureC = plainNumber(row, set.temperatureC);
    const text: ReadingText = {
      instrument: plainText(row, set.instrument),
      checked_at: plainText(row, set.checkedAt),
      speed_rpm: given(speedRpm),
      reading_mpas: given(readingMPaS),
      fluid_value_mpas: given(fluidValueMPaS),
      full_scale_range_mpas: given(fullScaleRangeMPaS),
      torque_percent: given(torquePercent),
      temperature_c: given(temperatureC),
      fluid_lot: plainText(row, set.fluidLot),
      geometry: plainText(row, set.geometry),
      site: plainText(row, set.site),
      operator: plainText(row, set.operator),
      check_id: plainText(row, set.checkId),
      stage: plainText(row, set.stage),
    };
    return {
      text,
      stage: stageOf(text.stage, stageWords),
      checkedAtMs: times.instantOf(text.checked_at),
      speedRpm,
      readingMPaS,
      fluidValueMPaS,
      fullScaleRangeMPaS,
      torquePercent,
      temperatureC,
    };
  }
}

function given(value: number | null): string {
  return value === null ? "" : GIVEN;
}

/** A batch as it grows. */
class Batch {
  readonly #sound = new BatchBuilder();
  readonly #column: number[] = [];
  readonly #part: number[] = [];
  readonly #texts = new Map<number, string>();
  readonly #from: number[] = [];
  readonly #until: number[] = [];
  readonly #objected: ObjectedReading[] = [];
  readonly #unknownLots = new Map<string, number>();

  add(reading: ReadingRecord, { column, part, raw }: RowPlace): void {
    this.#texts.set(this.#sound.count, raw);
    this.#place(column, part, 0, 0);
    this.#sound.add(reading);
  }

  addPlain(reading: ReadingRecord, part: number, { from, until }: PlainRow): void {
    this.#place(1, part, from, until);
    this.#sound.add(reading);
  }

  object(row: QuarantinedRow, reading: ReadingRecord | null): void {
    this.#objected.push({ after: this.#sound.count, row, reading });
  }

  countUnknown(fluidLot: string): void {
    this.#unknownLots.set(fluidLot, (this.#unknownLots.get(fluidLot) ?? 0) + 1);
  }

  finished(columns: readonly string[], bytes: Uint8Array, encoding: Encoding): JudgedBatch {
    return {
      columns,
      sound: this.#sound.batch(),
      places: {
        column: Int32Array.from(this.#column),
        part: Int32Array.from(this.#part),
        texts: this.#texts,
        bytes,
        encoding,
        from: Int32Array.from(this.#from),
        until: Int32Array.from(this.#until),
      },
      objected: this.#objected,
      unknownLots: this.#unknownLots,
    };
  }

  #place(column: number, part: number, from: number, until: number): void {
    this.#column.push(column);
    this.#part.push(part);
    this.#from.push(from);
    this.#until.push(until);
  }
}

/** Only for a draft in which nothing is missing. */
function toReading(draft: ReadingDraft, line: number): ReadingRecord {
  const { text, lot } = draft;
  const values = {
    checkedAtMs: draft.checkedAtMs,
    fluidValueMPaS: draft.fluidValueMPaS!,
    fullScaleRangeMPaS: draft.fullScaleRangeMPaS!,
    temperatureC: draft.temperatureC,
    fluidLot: text.fluid_lot || null,
  };
  return {
    ...values,
    instrument: text.instrument,
    speedRpm: draft.speedRpm!,
    readingMPaS: draft.readingMPaS!,
    torquePercent: draft.torquePercent,
    geometry: text.geometry || null,
    site: text.site || null,
    operator: text.operator || null,
    checkId: text.check_id || null,
    stage: draft.stage!,
    flags: flagReading(values, lot),
    line,
  };
}
