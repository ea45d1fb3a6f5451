import type { StatementSync } from "node:sqlite";
import type { ReadingBatch } from "../reading-batch.ts";
import { selectRegisters } from "../register-queries.ts";
import type {
  FluidRecord,
  GeometryRecord,
  InstrumentRecord,
  LotReading,
  ReadingOutcome,
  Registers,
  ResultRecord,
  RowIntake,
  ServiceRecord,
  StoredReading,
} from "../store.ts";
import { STORED_COLUMNS, type StoredRow, storedReading } from "../stored-row.ts";
import type { TrailNote } from "../trail.ts";
import { appendTrail } from "../trail-queries.ts";
import type { Connection } from "./connection.ts";
import { Names } from "./names.ts";
import { ReadingWriter } from "./reading-writer.ts";
import { RegisterWriter } from "./register-writer.ts";
import { plainStoreError } from "./store-errors.ts";

/** How the transaction around one file ends: a whole one, or a part of a rehearsal. */
export interface TransactionEnd {
  readonly keep: () => void;
  readonly drop: () => void;
  readonly ended: () => void;
}

/** Where rows are put: within a transaction that is begun already, as rows of one file. */
export interface RowsSetting {
  readonly connection: Connection;
  readonly location: string;
  readonly fileId: number;
  readonly end: TransactionEnd;
}

/** What rows do to the store, on SQLite. Every statement of the bulk path is prepared once. */
export class SqliteRows implements RowIntake {
  protected readonly connection: Connection;
  protected readonly fileId: number;
  /** Whether anything was changed that counts. */
  protected changed = false;
  readonly #location: string;
  readonly #end: TransactionEnd;
  readonly #names: Names;
  readonly #registers: RegisterWriter;
  readonly #readings: ReadingWriter;
  readonly #readingsBetween: StatementSync;
  readonly #countBetween: StatementSync;

  constructor({ connection, location, fileId, end }: RowsSetting) {
    const { raw } = connection;
    this.connection = connection;
    this.fileId = fileId;
    this.#location = location;
    this.#end = end;
    this.#names = new Names(raw);
    this.#registers = new RegisterWriter(raw, this.#names);
    this.#readings = new ReadingWriter(raw, this.#names, fileId);
    this.#readingsBetween = raw.prepare(
      `SELECT ${STORED_COLUMNS}
       FROM reading WHERE instrument_id = ? AND checked_at_ms BETWEEN ? AND ?
       ORDER BY checked_at_ms, speed_rpm`,
    );
    this.#countBetween = raw.prepare(
      "SELECT count(*) AS n FROM reading WHERE instrument_id = ? AND checked_at_ms BETWEEN ? AND ?",
    );
  }

  async registers(): Promise<Registers> {
    return selectRegisters(this.connection.queries);
  }

  async putInstruments(rows: readonly InstrumentRecord[]): Promise<boolean[]> {
    return this.write(() => rows.map((row) => this.note(this.#registers.putInstrument(row))));
  }

  async putServices(rows: readonly ServiceRecord[]): Promise<boolean[]> {
    return this.write(() => rows.map((row) => this.note(this.#registers.putService(row))));
  }

  async putFluids(rows: readonly FluidRecord[]): Promise<boolean[]> {
    return this.write(() => rows.map((row) => this.note(this.#registers.putFluid(row))));
  }

  async putResults(rows: readonly ResultRecord[]): Promise<boolean[]> {
    return this.write(() => rows.map((row) => this.note(this.#registers.putResult(row))));
  }

  async putGeometries(rows: readonly GeometryRecord[]): Promise<boolean[]> {
    return this.write(() => rows.map((row) => this.note(this.#registers.putGeometry(row))));
  }

  async addReadings(batch: ReadingBatch): Promise<ReadingOutcome[]> {
    const outcomes = this.write(() => this.#readings.add(batch));
    this.note(outcomes.includes("accepted"));
    return outcomes;
  }

  async areStored(batch: ReadingBatch): Promise<boolean[]> {
    return this.write(() => Array.from({ length: batch.count }, (_, i) => this.#readings.isStored(batch, i)));
  }

  async countBetween(instrument: string, fromMs: number, untilMs: number): Promise<number> {
    const id = this.#names.find("instrument", instrument);
    return id === null ? 0 : Number(this.#countBetween.get(id, fromMs, untilMs)?.n);
  }

  async readingsBetween(
    instrument: string,
    fromMs: number,
    untilMs: number,
  ): Promise<readonly StoredReading[]> {
    const id = this.#names.find("instrument", instrument);
    if (id === null) return [];
    this.#readingsBetween.setReturnArrays(true);
    const rows = this.#readingsBetween.all(id, fromMs, untilMs) as unknown as StoredRow[];
    return rows.map((row) => storedReading(row, this.fileId));
  }

  async *readingsOfLots(fluidLots: readonly string[]): AsyncGenerator<LotReading> {
    const ids = fluidLots.map((lot) => this.#names.find("fluid_lot", lot));
    const rows = this.connection.raw
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
    this.write(() => {
      const id = this.#names.find("instrument", instrument);
      const set = this.connection.raw.prepare(
        "UPDATE reading SET flags = ? WHERE instrument_id = ? AND checked_at_ms = ? AND speed_rpm = ? AND flags <> ?",
      );
      for (const row of rows) {
        const { changes } = set.run(row.flags, id, row.checkedAtMs, row.speedRpm, row.flags);
        this.note(Number(changes) > 0);
      }
    });
  }

  async rollback(): Promise<void> {
    try {
      // A full disk ends the transaction by itself.
      if (this.connection.raw.isTransaction) this.#end.drop();
    } finally {
      this.#end.ended();
    }
  }

  /** Keeps the transaction. */
  protected keep(): void {
    this.write(() => this.#end.keep());
    this.#end.ended();
  }

  /** Tells the trail of what this transaction does. */
  protected async tell(note: TrailNote): Promise<void> {
    try {
      await appendTrail(this.connection.queries, note);
    } catch (error) {
      throw plainStoreError(error, this.#location);
    }
  }

  protected note(changed: boolean): boolean {
    this.changed ||= changed;
    return changed;
  }

  protected write<T>(work: () => T): T {
    try {
      return work();
    } catch (error) {
      throw plainStoreError(error, this.#location);
    }
  }
}
