import type { DatabaseSync, SQLInputValue, StatementSync } from "node:sqlite";
import { type ComparedValues, sayTheSame } from "../equal-readings.ts";
import { comparedValues, knownNumber, nameAt, type ReadingBatch } from "../reading-batch.ts";
import type { ReadingOutcome } from "../store.ts";
import type { NameTable } from "../tables.ts";
import type { Names } from "./names.ts";

const COLUMNS = `instrument_id, checked_at_ms, speed_rpm, reading_mpas, fluid_value_mpas, full_scale_range_mpas,
  torque_percent, temperature_c, fluid_lot_id, geometry_id, site_id, operator_id, check_id, stage, flags, file_id, line`;
const WIDTH = 17;

/** Rows that go in by one statement: half the time of as many statements, and little is lost where one is there already. */
const BLOCK = 64;

/** Primary key violated. Source: SQLite, "Result and Error Codes". */
const KEY_EXISTS = 1555;

/**
 * Adds readings within one file's transaction.
 *
 * @remarks
 * Most files bring only new readings: these go in by the block. A block with one that is stored already is undone by
 * SQLite as a whole, and its rows are looked at one by one, like the blocks after it until all of one are new again.
 */
export class ReadingWriter {
  readonly #names: Names;
  readonly #fileId: number;
  readonly #addOne: StatementSync;
  readonly #addBlock: StatementSync;
  readonly #stored: StatementSync;
  readonly #bound: SQLInputValue[] = new Array(BLOCK * WIDTH).fill(null);
  #areNew = true;

  constructor(raw: DatabaseSync, names: Names, fileId: number) {
    this.#names = names;
    this.#fileId = fileId;
    const row = `(${new Array(WIDTH).fill("?").join(", ")})`;
    const rows = new Array(BLOCK).fill(row).join(", ");
    this.#addOne = raw.prepare(`INSERT INTO reading (${COLUMNS}) VALUES ${row}`);
    this.#addBlock = raw.prepare(`INSERT INTO reading (${COLUMNS}) VALUES ${rows}`);
    this.#stored = raw.prepare(
      `SELECT reading_mpas AS readingMPaS, torque_percent AS torquePercent,
              full_scale_range_mpas AS fullScaleRangeMPaS, fluid_value_mpas AS fluidValueMPaS,
              fluid_lot.name AS fluidLot, temperature_c AS temperatureC
       FROM reading LEFT JOIN fluid_lot ON fluid_lot.id = fluid_lot_id
       WHERE instrument_id = ? AND checked_at_ms = ? AND speed_rpm = ?`,
    );
  }

  /** What became of each, in order. */
  add(batch: ReadingBatch): ReadingOutcome[] {
    const numbers = this.#numbersOf(batch.names);
    const outcomes: ReadingOutcome[] = [];
    for (let from = 0; from < batch.count; from += BLOCK) {
      const until = Math.min(from + BLOCK, batch.count);
      if (this.#areNew && until - from === BLOCK && this.#isBlockAdded(batch, numbers, from)) {
        for (let i = from; i < until; i++) outcomes.push("accepted");
        continue;
      }
      this.#areNew = true;
      for (let i = from; i < until; i++) {
        const outcome = this.#add(batch, numbers, i);
        if (outcome !== "accepted") this.#areNew = false;
        outcomes.push(outcome);
      }
    }
    return outcomes;
  }

  isStored(batch: ReadingBatch, i: number): boolean {
    const instrument = this.#names.find("instrument", batch.names.instruments[batch.instrument[i]!]!);
    const stored = this.#storedValues(batch, instrument ?? UNKNOWN, i);
    return stored !== null && sayTheSame(comparedValues(batch, i), stored);
  }

  #add(batch: ReadingBatch, numbers: Numbers, i: number): ReadingOutcome {
    // Looked up before anything is added: a repeat must not leave even a new name behind.
    const stored = this.#storedValues(batch, numbers.instrument[batch.instrument[i]!]!, i);
    if (stored !== null) return sayTheSame(comparedValues(batch, i), stored) ? "repeated" : "conflicts";
    for (const [table, column, list] of NAMED) {
      const place = batch[column][i]!;
      if (place < 0 || numbers[column][place] !== UNKNOWN) continue;
      numbers[column][place] = this.#names.idOf(table, batch.names[list][place]!);
    }
    this.#bind(batch, numbers, i, 0);
    this.#addOne.run(...this.#bound.slice(0, WIDTH));
    return "accepted";
  }

  /** Adds a whole block; false, and nothing done, where a name is new or a reading is stored already. */
  #isBlockAdded(batch: ReadingBatch, numbers: Numbers, from: number): boolean {
    for (let i = 0; i < BLOCK; i++) if (!this.#bind(batch, numbers, from + i, i * WIDTH)) return false;
    try {
      this.#addBlock.run(...this.#bound);
      return true;
    } catch (error) {
      if (error instanceof Error && "errcode" in error && error.errcode === KEY_EXISTS) return false;
      throw error;
    }
  }

  /** Puts a row where it is bound from; false where one of its names is not stored yet. */
  #bind(batch: ReadingBatch, numbers: Numbers, i: number, at: number): boolean {
    const bound = this.#bound;
    const instrument = numbers.instrument[batch.instrument[i]!]!;
    const fluidLot = numberAt(numbers.fluidLot, batch.fluidLot[i]!);
    const geometry = numberAt(numbers.geometry, batch.geometry[i]!);
    const site = numberAt(numbers.site, batch.site[i]!);
    const operator = numberAt(numbers.operator, batch.operator[i]!);
    bound[at] = instrument;
    bound[at + 1] = batch.checkedAtMs[i]!;
    bound[at + 2] = batch.speedRpm[i]!;
    bound[at + 3] = batch.readingMPaS[i]!;
    bound[at + 4] = batch.fluidValueMPaS[i]!;
    bound[at + 5] = batch.fullScaleRangeMPaS[i]!;
    bound[at + 6] = knownNumber(batch.torquePercent[i]!);
    bound[at + 7] = knownNumber(batch.temperatureC[i]!);
    bound[at + 8] = fluidLot;
    bound[at + 9] = geometry;
    bound[at + 10] = site;
    bound[at + 11] = operator;
    bound[at + 12] = nameAt(batch.names.checkIds, batch.checkId[i]!);
    bound[at + 13] = batch.stage[i]!;
    bound[at + 14] = batch.flags[i]!;
    bound[at + 15] = this.#fileId;
    bound[at + 16] = batch.line[i]!;
    return (
      instrument !== UNKNOWN &&
      fluidLot !== UNKNOWN &&
      geometry !== UNKNOWN &&
      site !== UNKNOWN &&
      operator !== UNKNOWN
    );
  }

  /** @param instrument Its number in the store. */
  #storedValues(batch: ReadingBatch, instrument: number, i: number): ComparedValues | null {
    if (instrument === UNKNOWN) return null;
    const stored = this.#stored.get(instrument, batch.checkedAtMs[i]!, batch.speedRpm[i]!);
    return stored === undefined ? null : (stored as unknown as ComparedValues);
  }

  #numbersOf(names: ReadingBatch["names"]): Numbers {
    const of = (table: NameTable, list: readonly string[]) =>
      list.map((name) => this.#names.find(table, name) ?? UNKNOWN);
    return {
      instrument: of("instrument", names.instruments),
      fluidLot: of("fluid_lot", names.fluidLots),
      geometry: of("geometry", names.geometries),
      site: of("site", names.sites),
      operator: of("operator", names.operators),
    };
  }
}

/** A name that the store does not know; SQLite numbers from 1. */
const UNKNOWN = 0;

/** The numbers that the names of a batch have in the store. */
interface Numbers {
  readonly instrument: number[];
  readonly fluidLot: number[];
  readonly geometry: number[];
  readonly site: number[];
  readonly operator: number[];
}

const NAMED = [
  ["instrument", "instrument", "instruments"],
  ["fluid_lot", "fluidLot", "fluidLots"],
  ["geometry", "geometry", "geometries"],
  ["site", "site", "sites"],
  ["operator", "operator", "operators"],
] as const satisfies readonly (readonly [NameTable, keyof Numbers, keyof ReadingBatch["names"]])[];

function numberAt(numbers: readonly number[], place: number): number | null {
  return place < 0 ? null : numbers[place]!;
}
