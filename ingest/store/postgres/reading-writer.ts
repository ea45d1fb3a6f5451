import { type ComparedValues, sayTheSame } from "../equal-readings.ts";
import { flagBits } from "../flag-bits.ts";
import { type ReadingOutcome, type ReadingRecord, STAGES } from "../store.ts";
import { copyField } from "./copy-field.ts";
import type { Names } from "./names.ts";
import type { Session } from "./session.ts";

const COLUMNS = `instrument_id, checked_at_ms, speed_rpm, reading_mpas, fluid_value_mpas, full_scale_range_mpas,
  torque_percent, temperature_c, fluid_lot_id, geometry_id, site_id, operator_id, check_id, stage, flags, file_id, line`;

type Stored = readonly [
  place: number,
  readingMPaS: number,
  torquePercent: number | null,
  fullScaleRangeMPaS: number,
  fluidValueMPaS: number,
  fluidLot: string | null,
  temperatureC: number | null,
];

/**
 * Adds readings within one file's transaction.
 *
 * @remarks
 * A batch is looked up by one query, and what is new in it goes in by one COPY. No table between the two is needed:
 * the transaction is the only one that writes.
 */
export class ReadingWriter {
  readonly #session: Session;
  readonly #names: Names;
  readonly #fileId: number;

  constructor(session: Session, names: Names, fileId: number) {
    this.#session = session;
    this.#names = names;
    this.#fileId = fileId;
  }

  /** What became of each, in order; the rows before one in its batch count as stored. */
  async add(rows: readonly ReadingRecord[]): Promise<ReadingOutcome[]> {
    const stored = await this.#stored(rows);
    const here = new Map<string, ComparedValues>();
    const fresh: ReadingRecord[] = [];
    const outcomes = rows.map((row, i): ReadingOutcome => {
      const key = `${row.checkedAtMs} ${row.speedRpm} ${row.instrument}`;
      const there = stored[i] ?? here.get(key);
      if (there !== undefined) return sayTheSame(row, there) ? "repeated" : "conflicts";
      here.set(key, row);
      fresh.push(row);
      return "accepted";
    });
    await this.#copy(fresh);
    return outcomes;
  }

  async areStored(rows: readonly ReadingRecord[]): Promise<boolean[]> {
    const stored = await this.#stored(rows);
    return rows.map((row, i) => stored[i] !== undefined && sayTheSame(row, stored[i]));
  }

  /** The stored values at the place of each row; undefined where nothing is stored. */
  async #stored(rows: readonly ReadingRecord[]): Promise<(ComparedValues | undefined)[]> {
    const found: (ComparedValues | undefined)[] = new Array(rows.length).fill(undefined);
    await this.#names.find(
      "instrument",
      rows.map((row) => row.instrument),
    );
    const asked = rows.flatMap((row, place) => {
      const id = this.#names.get("instrument", row.instrument);
      return id === null ? [] : [{ id, place, row }];
    });
    if (asked.length === 0) return found;
    const stored = await this.#session.arrays<Stored>(
      `SELECT place, reading_mpas, torque_percent, full_scale_range_mpas, fluid_value_mpas, fluid_lot.name, temperature_c
       FROM unnest($1::bigint[], $2::bigint[], $3::float8[], $4::bigint[]) AS asked (instrument_id, checked_at_ms, speed_rpm, place)
       JOIN reading USING (instrument_id, checked_at_ms, speed_rpm)
       LEFT JOIN fluid_lot ON fluid_lot.id = fluid_lot_id`,
      [
        asked.map(({ id }) => id),
        asked.map(({ row }) => row.checkedAtMs),
        asked.map(({ row }) => row.speedRpm),
        asked.map(({ place }) => place),
      ],
    );
    for (const [place, readingMPaS, torquePercent, range, fluidValueMPaS, fluidLot, temperatureC] of stored) {
      const values = { readingMPaS, torquePercent, fluidValueMPaS, fluidLot, temperatureC };
      found[place] = { ...values, fullScaleRangeMPaS: range };
    }
    return found;
  }

  async #copy(rows: readonly ReadingRecord[]): Promise<void> {
    if (rows.length === 0) return;
    const names = this.#names;
    for (const [table, of] of NAMED) await names.add(table, rows.map(of));
    const lines = rows.map((row) =>
      [
        names.get("instrument", row.instrument),
        row.checkedAtMs,
        row.speedRpm,
        row.readingMPaS,
        row.fluidValueMPaS,
        row.fullScaleRangeMPaS,
        row.torquePercent,
        row.temperatureC,
        names.get("fluid_lot", row.fluidLot),
        names.get("geometry", row.geometry),
        names.get("site", row.site),
        names.get("operator", row.operator),
        row.checkId,
        STAGES.indexOf(row.stage),
        flagBits(row.flags),
        this.#fileId,
        row.line,
      ]
        .map(copyField)
        .join("\t"),
    );
    await this.#session.copyIn(`COPY reading (${COLUMNS}) FROM STDIN`, `${lines.join("\n")}\n`);
  }
}

const NAMED = [
  ["instrument", (row: ReadingRecord) => row.instrument],
  ["fluid_lot", (row: ReadingRecord) => row.fluidLot],
  ["geometry", (row: ReadingRecord) => row.geometry],
  ["site", (row: ReadingRecord) => row.site],
  ["operator", (row: ReadingRecord) => row.operator],
] as const;
