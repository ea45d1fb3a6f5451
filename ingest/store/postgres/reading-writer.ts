import { type ComparedValues, sayTheSame } from "../equal-readings.ts";
import { comparedValues, knownNumber, nameAt, type ReadingBatch } from "../reading-batch.ts";
import type { ReadingOutcome } from "../store.ts";
import type { NameTable } from "../tables.ts";
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
  async add(batch: ReadingBatch): Promise<ReadingOutcome[]> {
    const stored = await this.#stored(batch);
    const here = new Map<string, ComparedValues>();
    const fresh: number[] = [];
    const outcomes = Array.from({ length: batch.count }, (_, i): ReadingOutcome => {
      const key = `${batch.checkedAtMs[i]} ${batch.speedRpm[i]} ${batch.instrument[i]}`;
      const there = stored[i] ?? here.get(key);
      const values = comparedValues(batch, i);
      if (there !== undefined) return sayTheSame(values, there) ? "repeated" : "conflicts";
      here.set(key, values);
      fresh.push(i);
      return "accepted";
    });
    await this.#copy(batch, fresh);
    return outcomes;
  }

  async areStored(batch: ReadingBatch): Promise<boolean[]> {
    const stored = await this.#stored(batch);
    return stored.map((there, i) => there !== undefined && sayTheSame(comparedValues(batch, i), there));
  }

  /** The stored values at the place of each row; undefined where nothing is stored. */
  async #stored(batch: ReadingBatch): Promise<(ComparedValues | undefined)[]> {
    const found: (ComparedValues | undefined)[] = new Array(batch.count).fill(undefined);
    await this.#names.find("instrument", batch.names.instruments);
    const ids = batch.names.instruments.map((name) => this.#names.get("instrument", name));
    const asked = found.flatMap((_, place) => {
      const id = ids[batch.instrument[place]!]!;
      return id === null ? [] : [{ id, place }];
    });
    if (asked.length === 0) return found;
    const stored = await this.#session.arrays<Stored>(
      `SELECT place, reading_mpas, torque_percent, full_scale_range_mpas, fluid_value_mpas, fluid_lot.name, temperature_c
       FROM unnest($1::bigint[], $2::bigint[], $3::float8[], $4::bigint[]) AS asked (instrument_id, checked_at_ms, speed_rpm, place)
       JOIN reading USING (instrument_id, checked_at_ms, speed_rpm)
       LEFT JOIN fluid_lot ON fluid_lot.id = fluid_lot_id`,
      [
        asked.map(({ id }) => id),
        asked.map(({ place }) => batch.checkedAtMs[place]!),
        asked.map(({ place }) => batch.speedRpm[place]!),
        asked.map(({ place }) => place),
      ],
    );
    for (const [place, readingMPaS, torquePercent, range, fluidValueMPaS, fluidLot, temperatureC] of stored) {
      const values = { readingMPaS, torquePercent, fluidValueMPaS, fluidLot, temperatureC };
      found[place] = { ...values, fullScaleRangeMPaS: range };
    }
    return found;
  }

  /** @param rows Those of the batch that are new. */
  async #copy(batch: ReadingBatch, rows: readonly number[]): Promise<void> {
    if (rows.length === 0) return;
    const instrument = await this.#numbersOf("instrument", batch.names.instruments, batch.instrument, rows);
    const fluidLot = await this.#numbersOf("fluid_lot", batch.names.fluidLots, batch.fluidLot, rows);
    const geometry = await this.#numbersOf("geometry", batch.names.geometries, batch.geometry, rows);
    const site = await this.#numbersOf("site", batch.names.sites, batch.site, rows);
    const operator = await this.#numbersOf("operator", batch.names.operators, batch.operator, rows);
    const lines = rows.map((i) =>
      [
        instrument(i),
        batch.checkedAtMs[i]!,
        batch.speedRpm[i]!,
        batch.readingMPaS[i]!,
        batch.fluidValueMPaS[i]!,
        batch.fullScaleRangeMPaS[i]!,
        knownNumber(batch.torquePercent[i]!),
        knownNumber(batch.temperatureC[i]!),
        fluidLot(i),
        geometry(i),
        site(i),
        operator(i),
        nameAt(batch.names.checkIds, batch.checkId[i]!),
        batch.stage[i]!,
        batch.flags[i]!,
        this.#fileId,
        batch.line[i]!,
      ]
        .map(copyField)
        .join("\t"),
    );
    await this.#session.copyIn(`COPY reading (${COLUMNS}) FROM STDIN`, `${lines.join("\n")}\n`);
  }

  /** From a row to the number of its name; names that only rows bring which are stored already stay unknown. */
  async #numbersOf(
    table: NameTable,
    names: readonly string[],
    places: Int32Array,
    rows: readonly number[],
  ): Promise<(row: number) => number | null> {
    const used = [...new Set(rows.map((row) => places[row]!))].filter((place) => place >= 0);
    await this.#names.add(
      table,
      used.map((place) => names[place]!),
    );
    const numbers = names.map((name) => this.#names.get(table, name));
    return (row) => (places[row]! < 0 ? null : numbers[places[row]!]!);
  }
}
