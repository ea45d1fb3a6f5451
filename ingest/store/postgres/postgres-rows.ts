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
import { Names } from "./names.ts";
import { ReadingWriter } from "./reading-writer.ts";
import { RegisterWriter } from "./register-writer.ts";
import type { Session } from "./session.ts";

/** How the transaction around one file ends: a whole one, or a part of a rehearsal. */
export interface TransactionEnd {
  readonly keep: () => Promise<void>;
  readonly drop: () => Promise<void>;
  readonly ended: () => void;
}

/** Where rows are put: within a transaction that is begun already, as rows of one file. */
export interface RowsSetting {
  readonly session: Session;
  readonly fileId: number;
  readonly end: TransactionEnd;
}

/** Rows that a cursor gives at once. */
const FETCH = 5000;

/** What rows do to the store, on PostgreSQL: a whole batch by one statement. */
export class PostgresRows implements RowIntake {
  protected readonly session: Session;
  protected readonly fileId: number;
  /** Whether anything was changed that counts. */
  protected changed = false;
  readonly #end: TransactionEnd;
  readonly #names: Names;
  readonly #registers: RegisterWriter;
  readonly #readings: ReadingWriter;

  constructor({ session, fileId, end }: RowsSetting) {
    this.session = session;
    this.fileId = fileId;
    this.#end = end;
    this.#names = new Names(session);
    this.#registers = new RegisterWriter(session, this.#names);
    this.#readings = new ReadingWriter(session, this.#names, fileId);
  }

  registers(): Promise<Registers> {
    return selectRegisters(this.session.queries);
  }

  async putInstruments(rows: readonly InstrumentRecord[]): Promise<boolean[]> {
    return this.#noteAll(await this.#registers.putInstruments(rows));
  }

  async putServices(rows: readonly ServiceRecord[]): Promise<boolean[]> {
    return this.#noteAll(await this.#registers.putServices(rows));
  }

  async putFluids(rows: readonly FluidRecord[]): Promise<boolean[]> {
    return this.#noteAll(await this.#registers.putFluids(rows));
  }

  async putResults(rows: readonly ResultRecord[]): Promise<boolean[]> {
    return this.#noteAll(await this.#registers.putResults(rows));
  }

  async putGeometries(rows: readonly GeometryRecord[]): Promise<boolean[]> {
    return this.#noteAll(await this.#registers.putGeometries(rows));
  }

  async addReadings(batch: ReadingBatch): Promise<ReadingOutcome[]> {
    const outcomes = await this.#readings.add(batch);
    this.changed ||= outcomes.includes("accepted");
    return outcomes;
  }

  areStored(batch: ReadingBatch): Promise<boolean[]> {
    return this.#readings.areStored(batch);
  }

  async countBetween(instrument: string, fromMs: number, untilMs: number): Promise<number> {
    const [row] = await this.session.all<{ n: number }>(
      `SELECT count(*)::int AS n FROM reading
       WHERE instrument_id = (SELECT id FROM instrument WHERE name = $1) AND checked_at_ms BETWEEN $2 AND $3`,
      [instrument, fromMs, untilMs],
    );
    return row!.n;
  }

  async readingsBetween(
    instrument: string,
    fromMs: number,
    untilMs: number,
  ): Promise<readonly StoredReading[]> {
    const rows = await this.session.arrays<StoredRow>(
      `SELECT ${STORED_COLUMNS}
       FROM reading WHERE instrument_id = (SELECT id FROM instrument WHERE name = $1)
         AND checked_at_ms BETWEEN $2 AND $3
       ORDER BY checked_at_ms, speed_rpm`,
      [instrument, fromMs, untilMs],
    );
    return rows.map((row) => storedReading(row, this.fileId));
  }

  async *readingsOfLots(fluidLots: readonly string[]): AsyncGenerator<LotReading> {
    const { session } = this;
    await session.run(
      `DECLARE of_lots NO SCROLL CURSOR FOR
       SELECT instrument.name AS instrument, checked_at_ms AS "checkedAtMs", speed_rpm AS "speedRpm",
              fluid_value_mpas AS "fluidValueMPaS", full_scale_range_mpas AS "fullScaleRangeMPaS",
              temperature_c AS "temperatureC", fluid_lot.name AS "fluidLot", flags
       FROM reading JOIN instrument ON instrument.id = instrument_id
       JOIN fluid_lot ON fluid_lot.id = fluid_lot_id
       WHERE fluid_lot.name = ANY($1::text[])
       ORDER BY instrument_id, checked_at_ms, speed_rpm`,
      [fluidLots],
    );
    for (;;) {
      const rows = await session.all<LotReading>(`FETCH ${FETCH} FROM of_lots`);
      yield* rows;
      if (rows.length < FETCH) break;
    }
    await session.run("CLOSE of_lots");
  }

  async setFlags(
    instrument: string,
    rows: readonly Pick<StoredReading, "checkedAtMs" | "speedRpm" | "flags">[],
  ): Promise<void> {
    const changes = await this.session.run(
      `UPDATE reading SET flags = asked.flags
       FROM unnest($2::bigint[], $3::float8[], $4::bigint[]) AS asked (checked_at_ms, speed_rpm, flags)
       WHERE instrument_id = (SELECT id FROM instrument WHERE name = $1)
         AND reading.checked_at_ms = asked.checked_at_ms AND reading.speed_rpm = asked.speed_rpm
         AND reading.flags <> asked.flags`,
      [
        instrument,
        rows.map(({ checkedAtMs }) => checkedAtMs),
        rows.map(({ speedRpm }) => speedRpm),
        rows.map(({ flags }) => flags),
      ],
    );
    this.changed ||= changes > 0;
  }

  async rollback(): Promise<void> {
    try {
      await this.#end.drop();
    } finally {
      this.#end.ended();
    }
  }

  /** Keeps the transaction; where that fails, it is still to be rolled back. */
  protected async keep(): Promise<void> {
    await this.#end.keep();
    this.#end.ended();
  }

  protected async countUp(): Promise<void> {
    await this.session.run("UPDATE store_state SET revision = revision + 1");
  }

  #noteAll(changed: boolean[]): boolean[] {
    this.changed ||= changed.includes(true);
    return changed;
  }
}
