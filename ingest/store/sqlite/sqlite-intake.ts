import { createHash } from "node:crypto";
import type { StatementSync } from "node:sqlite";
import { type ComparedValues, sayTheSame } from "../equal-readings.ts";
import { flagBits } from "../flag-bits.ts";
import { selectRegisters } from "../register-queries.ts";
import {
  type FileIntake,
  type FileRecord,
  type FluidRecord,
  type GeometryRecord,
  type InstrumentRecord,
  type LotReading,
  type QuarantinedRow,
  type ReadingOutcome,
  type ReadingRecord,
  type Registers,
  type ResultRecord,
  type ServiceRecord,
  STAGES,
  type StoredReading,
} from "../store.ts";
import type { Connection } from "./connection.ts";
import { Names } from "./names.ts";
import { RegisterWriter } from "./register-writer.ts";
import { plainStoreError } from "./store-errors.ts";

/** How the transaction around one file ends: a whole one, or a part of a rehearsal. */
export interface TransactionEnd {
  readonly keep: () => void;
  readonly drop: () => void;
  readonly ended: () => void;
}

type StoredRow = readonly [
  checkedAtMs: number,
  speedRpm: number,
  readingMPaS: number,
  fluidValueMPaS: number,
  fullScaleRangeMPaS: number,
  checkId: string | null,
  flags: number,
  fileId: number,
];

/** One file's transaction on SQLite, already begun. Every statement of the bulk path is prepared once. */
export class SqliteIntake implements FileIntake {
  readonly #connection: Connection;
  readonly #location: string;
  readonly #file: string;
  readonly #takenInAtMs: number;
  readonly #end: TransactionEnd;
  readonly #fileId: number;
  readonly #names: Names;
  readonly #registers: RegisterWriter;
  readonly #addReading: StatementSync;
  readonly #storedReading: StatementSync;
  readonly #readingsBetween: StatementSync;
  readonly #hold: StatementSync;
  #changed = false;

  constructor(
    connection: Connection,
    location: string,
    file: string,
    takenInAtMs: number,
    end: TransactionEnd,
  ) {
    const { raw } = connection;
    this.#connection = connection;
    this.#location = location;
    this.#file = file;
    this.#takenInAtMs = takenInAtMs;
    this.#end = end;
    this.#fileId = Number(raw.prepare("SELECT coalesce(max(id), 0) + 1 AS id FROM file").get()?.id);
    this.#names = new Names(raw);
    this.#registers = new RegisterWriter(raw, this.#names);
    this.#addReading = raw.prepare(
      `INSERT INTO reading (instrument_id, checked_at_ms, speed_rpm, reading_mpas, fluid_value_mpas,
         full_scale_range_mpas, torque_percent, temperature_c, fluid_lot_id, geometry_id, site_id, operator_id,
         check_id, stage, flags, file_id, line)
       VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
    );
    this.#storedReading = raw.prepare(
      `SELECT reading_mpas AS readingMPaS, torque_percent AS torquePercent,
              full_scale_range_mpas AS fullScaleRangeMPaS, fluid_value_mpas AS fluidValueMPaS,
              fluid_lot.name AS fluidLot, temperature_c AS temperatureC
       FROM reading LEFT JOIN fluid_lot ON fluid_lot.id = fluid_lot_id
       WHERE instrument_id = ? AND checked_at_ms = ? AND speed_rpm = ?`,
    );
    this.#readingsBetween = raw.prepare(
      `SELECT checked_at_ms, speed_rpm, reading_mpas, fluid_value_mpas, full_scale_range_mpas, check_id, flags, file_id
       FROM reading WHERE instrument_id = ? AND checked_at_ms BETWEEN ? AND ?
       ORDER BY checked_at_ms, speed_rpm`,
    );
    this.#hold = raw.prepare(
      `INSERT INTO quarantined_row (file_id, line, "column", part, reason, message, raw, digest)
       VALUES (?, ?, ?, ?, ?, ?, ?, ?) ON CONFLICT (digest) DO NOTHING`,
    );
  }

  async registers(): Promise<Registers> {
    return selectRegisters(this.#connection.queries);
  }

  async putInstruments(rows: readonly InstrumentRecord[]): Promise<boolean[]> {
    return this.#write(() => rows.map((row) => this.#note(this.#registers.putInstrument(row))));
  }

  async putServices(rows: readonly ServiceRecord[]): Promise<boolean[]> {
    return this.#write(() => rows.map((row) => this.#note(this.#registers.putService(row))));
  }

  async putFluids(rows: readonly FluidRecord[]): Promise<boolean[]> {
    return this.#write(() => rows.map((row) => this.#note(this.#registers.putFluid(row))));
  }

  async putResults(rows: readonly ResultRecord[]): Promise<boolean[]> {
    return this.#write(() => rows.map((row) => this.#note(this.#registers.putResult(row))));
  }

  async putGeometries(rows: readonly GeometryRecord[]): Promise<boolean[]> {
    return this.#write(() => rows.map((row) => this.#note(this.#registers.putGeometry(row))));
  }

  async addReadings(rows: readonly ReadingRecord[]): Promise<ReadingOutcome[]> {
    return this.#write(() => rows.map((row) => this.#addOne(row)));
  }

  async areStored(rows: readonly ReadingRecord[]): Promise<boolean[]> {
    return this.#write(() => rows.map((row) => this.#isStored(row)));
  }

  async readingsBetween(
    instrument: string,
    fromMs: number,
    untilMs: number,
  ): Promise<readonly StoredReading[]> {
    const id = this.#names.find("instrument", instrument);
    if (id === null) return [];
    // As arrays: a named object from the database costs several times as much, and every new reading comes by here.
    this.#readingsBetween.setReturnArrays(true);
    const rows = this.#readingsBetween.all(id, fromMs, untilMs) as unknown as StoredRow[];
    return rows.map(
      ([checkedAtMs, speedRpm, readingMPaS, fluidValueMPaS, fullScaleRangeMPaS, checkId, flags, fileId]) => ({
        checkedAtMs,
        speedRpm,
        readingMPaS,
        fluidValueMPaS,
        fullScaleRangeMPaS,
        checkId,
        flags,
        fromThisFile: fileId === this.#fileId,
      }),
    );
  }

  async *readingsOfLots(fluidLots: readonly string[]): AsyncGenerator<LotReading> {
    const ids = fluidLots.map((lot) => this.#names.find("fluid_lot", lot));
    const rows = this.#connection.raw
      .prepare(
        `SELECT instrument.name AS instrument, checked_at_ms AS checkedAtMs, speed_rpm AS speedRpm,
                fluid_value_mpas AS fluidValueMPaS, full_scale_range_mpas AS fullScaleRangeMPaS,
                temperature_c AS temperatureC, fluid_lot.name AS fluidLot, flags
         FROM reading JOIN instrument ON instrument.id = instrument_id
         JOIN fluid_lot ON fluid_lot.id = fluid_lot_id
         WHERE fluid_lot_id IN (SELECT value FROM json_each(?))`,
      )
      .iterate(JSON.stringify(ids));
    yield* rows as unknown as Iterable<LotReading>;
  }

  async setFlags(
    instrument: string,
    rows: readonly Pick<StoredReading, "checkedAtMs" | "speedRpm" | "flags">[],
  ): Promise<void> {
    this.#write(() => {
      const id = this.#names.find("instrument", instrument);
      const set = this.#connection.raw.prepare(
        "UPDATE reading SET flags = ? WHERE instrument_id = ? AND checked_at_ms = ? AND speed_rpm = ? AND flags <> ?",
      );
      for (const row of rows) {
        const { changes } = set.run(row.flags, id, row.checkedAtMs, row.speedRpm, row.flags);
        this.#note(Number(changes) > 0);
      }
    });
  }

  async quarantine(rows: readonly QuarantinedRow[]): Promise<boolean[]> {
    return this.#write(() =>
      rows.map(({ line, column, part, reason, message, raw }) => {
        const digest = createHash("sha256").update(`${line}\n${column}\n${part}\n${raw}`).digest("hex");
        const { changes } = this.#hold.run(this.#fileId, line, column, part, reason, message, raw, digest);
        return this.#note(Number(changes) > 0);
      }),
    );
  }

  async commit(totals: Omit<FileRecord, "fileId" | "file" | "takenInAtMs">): Promise<void> {
    this.#write(() => {
      const { raw } = this.#connection;
      const before = raw
        .prepare("SELECT id FROM file WHERE sha256 = ? AND profile_sha256 = ?")
        .get(totals.sha256, totals.profileSha256);
      if (this.#changed) raw.exec("UPDATE store_state SET revision = revision + 1");
      if (this.#changed || before === undefined) {
        raw
          .prepare(
            `INSERT INTO file (id, file, kind, sha256, profile_sha256, taken_in_at_ms,
               "rows", accepted, repeated, quarantined, flagged)
             VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
          )
          .run(
            this.#fileId,
            this.#file,
            totals.kind,
            totals.sha256,
            totals.profileSha256,
            this.#takenInAtMs,
            totals.rows,
            totals.accepted,
            totals.repeated,
            totals.quarantined,
            totals.flagged,
          );
      }
      this.#end.keep();
    });
    this.#end.ended();
  }

  async rollback(): Promise<void> {
    try {
      // A full disk ends the transaction by itself.
      if (this.#connection.raw.isTransaction) this.#end.drop();
    } finally {
      this.#end.ended();
    }
  }

  #addOne(row: ReadingRecord): ReadingOutcome {
    // Looked up before anything is added: a repeat must not leave even a new name behind.
    const stored = this.#storedValues(row);
    if (stored !== null) return sayTheSame(row, stored) ? "repeated" : "conflicts";

    const names = this.#names;
    this.#addReading.run(
      names.idOf("instrument", row.instrument),
      row.checkedAtMs,
      row.speedRpm,
      row.readingMPaS,
      row.fluidValueMPaS,
      row.fullScaleRangeMPaS,
      row.torquePercent,
      row.temperatureC,
      names.idOrNull("fluid_lot", row.fluidLot),
      names.idOrNull("geometry", row.geometry),
      names.idOrNull("site", row.site),
      names.idOrNull("operator", row.operator),
      row.checkId,
      STAGES.indexOf(row.stage),
      flagBits(row.flags),
      this.#fileId,
      row.line,
    );
    this.#changed = true;
    return "accepted";
  }

  #isStored(row: ReadingRecord): boolean {
    const stored = this.#storedValues(row);
    return stored !== null && sayTheSame(row, stored);
  }

  #storedValues(row: ReadingRecord): ComparedValues | null {
    const id = this.#names.find("instrument", row.instrument);
    if (id === null) return null;
    const stored = this.#storedReading.get(id, row.checkedAtMs, row.speedRpm);
    return stored === undefined ? null : (stored as unknown as ComparedValues);
  }

  #note(changed: boolean): boolean {
    this.#changed ||= changed;
    return changed;
  }

  #write<T>(work: () => T): T {
    try {
      return work();
    } catch (error) {
      throw plainStoreError(error, this.#location);
    }
  }
}
