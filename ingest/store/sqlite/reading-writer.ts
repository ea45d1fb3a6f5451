import type { DatabaseSync, SQLInputValue, StatementSync } from "node:sqlite";
import { type ComparedValues, sayTheSame } from "../equal-readings.ts";
import { flagBits } from "../flag-bits.ts";
import { type ReadingOutcome, type ReadingRecord, STAGES } from "../store.ts";
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
  add(rows: readonly ReadingRecord[]): ReadingOutcome[] {
    const outcomes: ReadingOutcome[] = [];
    for (let from = 0; from < rows.length; from += BLOCK) {
      const until = Math.min(from + BLOCK, rows.length);
      if (this.#areNew && until - from === BLOCK && this.#isBlockAdded(rows, from)) {
        for (let i = from; i < until; i++) outcomes.push("accepted");
        continue;
      }
      this.#areNew = true;
      for (let i = from; i < until; i++) {
        const outcome = this.#add(rows[i]!);
        if (outcome !== "accepted") this.#areNew = false;
        outcomes.push(outcome);
      }
    }
    return outcomes;
  }

  isStored(row: ReadingRecord): boolean {
    const stored = this.#storedValues(row);
    return stored !== null && sayTheSame(row, stored);
  }

  #add(row: ReadingRecord): ReadingOutcome {
    // Looked up before anything is added: a repeat must not leave even a new name behind.
    const stored = this.#storedValues(row);
    if (stored !== null) return sayTheSame(row, stored) ? "repeated" : "conflicts";
    for (const [table, name] of namesOf(row)) if (name !== null) this.#names.idOf(table, name);
    this.#bind(row, 0);
    this.#addOne.run(...this.#bound.slice(0, WIDTH));
    return "accepted";
  }

  /** Adds a whole block; false, and nothing done, where a name is new or a reading is stored already. */
  #isBlockAdded(rows: readonly ReadingRecord[], from: number): boolean {
    for (let i = 0; i < BLOCK; i++) if (!this.#bind(rows[from + i]!, i * WIDTH)) return false;
    try {
      this.#addBlock.run(...this.#bound);
      return true;
    } catch (error) {
      if (error instanceof Error && "errcode" in error && error.errcode === KEY_EXISTS) return false;
      throw error;
    }
  }

  /** Puts a row where it is bound from; false where one of its names is not stored yet. */
  #bind(row: ReadingRecord, at: number): boolean {
    const names = this.#names;
    const bound = this.#bound;
    const idOf = (table: NameTable, name: string | null) => (name === null ? null : names.find(table, name));
    const instrument = names.find("instrument", row.instrument);
    const fluidLot = idOf("fluid_lot", row.fluidLot);
    const geometry = idOf("geometry", row.geometry);
    const site = idOf("site", row.site);
    const operator = idOf("operator", row.operator);
    bound[at] = instrument;
    bound[at + 1] = row.checkedAtMs;
    bound[at + 2] = row.speedRpm;
    bound[at + 3] = row.readingMPaS;
    bound[at + 4] = row.fluidValueMPaS;
    bound[at + 5] = row.fullScaleRangeMPaS;
    bound[at + 6] = row.torquePercent;
    bound[at + 7] = row.temperatureC;
    bound[at + 8] = fluidLot;
    bound[at + 9] = geometry;
    bound[at + 10] = site;
    bound[at + 11] = operator;
    bound[at + 12] = row.checkId;
    bound[at + 13] = STAGES.indexOf(row.stage);
    bound[at + 14] = flagBits(row.flags);
    bound[at + 15] = this.#fileId;
    bound[at + 16] = row.line;
    return (
      instrument !== null &&
      (fluidLot !== null || row.fluidLot === null) &&
      (geometry !== null || row.geometry === null) &&
      (site !== null || row.site === null) &&
      (operator !== null || row.operator === null)
    );
  }

  #storedValues(row: ReadingRecord): ComparedValues | null {
    const id = this.#names.find("instrument", row.instrument);
    if (id === null) return null;
    const stored = this.#stored.get(id, row.checkedAtMs, row.speedRpm);
    return stored === undefined ? null : (stored as unknown as ComparedValues);
  }
}

function namesOf(row: ReadingRecord): readonly (readonly [NameTable, string | null])[] {
  return [
    ["instrument", row.instrument],
    ["fluid_lot", row.fluidLot],
    ["geometry", row.geometry],
    ["site", row.site],
    ["operator", row.operator],
  ];
}
