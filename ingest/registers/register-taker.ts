import { canonicalNames } from "../columns/canonical-names.ts";
import type { Column } from "../columns/columns.ts";
import { TimeReader } from "../columns/parse-time.ts";
import type { HeldPlace } from "../held/held-place.ts";
import type { RecordBatch } from "../read-records.ts";
import type { RawRecord } from "../record.ts";
import { fieldText, forColumns, recordProblem } from "../record-fields.ts";
import type { Tally } from "../report.ts";
import type { FileKind, FluidRecord, QuarantinedRow, RowIntake } from "../store/store.ts";
import type { WayOfReading } from "../way-of-reading.ts";
import {
  type RegisterStyle,
  RowProblem,
  readFluid,
  readGeometry,
  readInstrument,
  readResult,
  readService,
} from "./read-register-row.ts";
import { reflagLots } from "./reflag-lots.ts";

/** Takes the records of one register file into the store, and counts. */
export interface RecordTaker {
  take(batch: RecordBatch): Promise<void>;
  /** What can only be done when all rows are in. */
  end(): Promise<void>;
}

/** One register: how its rows are read, what they are about, and where they go. */
interface Register<Row> {
  readonly read: (text: (column: Column) => string, style: RegisterStyle) => Row | RowProblem;
  /** What a row is about; null where rows stand for themselves. */
  readonly subject: (row: Row) => string | null;
  readonly put: (rows: readonly Row[]) => Promise<boolean[]>;
  readonly end?: () => Promise<void>;
}

/** What takes the rows of a register file of this kind; `held` is where rows go that are not used. */
export function registerTaker(
  way: WayOfReading,
  kind: Exclude<FileKind, "readings">,
  intake: RowIntake,
  held: HeldPlace,
  tally: Tally,
): RecordTaker {
  const take = <Row>(register: Register<Row>) => new RegisterTaker(way, register, held, tally);
  switch (kind) {
    case "instruments":
      return take({
        read: readInstrument,
        subject: (row) => row.instrument,
        put: (rows) => intake.putInstruments(rows),
      });
    case "services":
      return take({ read: readService, subject: () => null, put: (rows) => intake.putServices(rows) });
    case "fluids":
      return take(fluidRegister(intake));
    case "results":
      return take({ read: readResult, subject: () => null, put: (rows) => intake.putResults(rows) });
    case "geometries":
      return take({
        read: readGeometry,
        subject: (row) => row.geometry,
        put: (rows) => intake.putGeometries(rows),
      });
  }
}

function fluidRegister(intake: RowIntake): Register<FluidRecord> {
  const changed = new Set<string>();
  return {
    read: readFluid,
    subject: (row) => row.fluidLot,
    put: async (rows) => {
      const answers = await intake.putFluids(rows);
      for (const [i, answer] of answers.entries()) if (answer) changed.add(rows[i]!.fluidLot);
      return answers;
    },
    end: () => reflagLots(intake, changed),
  };
}

/** A register row with one bad field is not used in part: what is missing would be taken for unknown. */
const WAITS = "Until it is mended, nothing of this row is used.";

/**
 * Takes the rows of one register file.
 *
 * @remarks A row replaces what earlier files said of the same thing; within a file the first row counts, and a
 * second one that says something else is held back.
 */
class RegisterTaker<Row> implements RecordTaker {
  readonly #register: Register<Row>;
  readonly #style: RegisterStyle;
  readonly #constants: WayOfReading["constants"];
  readonly #held: HeldPlace;
  readonly #tally: Tally;
  readonly #placesFor: (columns: readonly string[]) => ReadonlyMap<string, number>;
  /** What this file says of each subject. */
  readonly #said = new Map<string, string>();

  constructor(way: WayOfReading, register: Register<Row>, held: HeldPlace, tally: Tally) {
    const { times, toOwnUnit, columns: mapped } = way.profile;
    this.#register = register;
    this.#style = { decimal: way.decimal, times: new TimeReader(times), toOwnUnit };
    this.#constants = way.constants;
    this.#held = held;
    this.#tally = tally;
    this.#placesFor = forColumns(
      (columns) => new Map(canonicalNames(columns, mapped).map((name, place) => [name, place])),
    );
  }

  async take({ columns, records }: RecordBatch): Promise<void> {
    const places = this.#placesFor(columns);
    const sound: Row[] = [];
    const used: RawRecord[] = [];
    const held: QuarantinedRow[] = [];
    for (const record of records) {
      const text = (column: Column) => fieldText(record, places.get(column) ?? -1, this.#constants[column]);
      const row = this.#read(record, text);
      if (row instanceof RowProblem) {
        const { line, column, part, raw } = record;
        const { reason } = row;
        const message = `${row.message} ${WAITS}`;
        const instrument = text("instrument") || null;
        held.push({ line, column, part, raw, reason, message, instrument, site: text("site") || null });
      } else {
        sound.push(row);
        used.push(record);
      }
    }
    for (const changed of await this.#register.put(sound)) {
      if (changed) this.#tally.accept(0);
      else this.#tally.repeated++;
    }
    if (held.length > 0) this.#tally.hold(held, await this.#held.hold(held, columns));
    const heldLines = await this.#held.lines();
    const settled = used.filter(({ line }) => heldLines.has(line));
    if (settled.length > 0) await this.#held.inUse(settled, columns);
  }

  async end(): Promise<void> {
    await this.#register.end?.();
  }

  #read(record: RawRecord, text: (column: Column) => string): Row | RowProblem {
    const problem = recordProblem(record);
    if (problem !== null) return new RowProblem("unreadable-row", problem);
    const row = this.#register.read(text, this.#style);
    return row instanceof RowProblem ? row : this.#unlessContradicted(row);
  }

  #unlessContradicted(row: Row): Row | RowProblem {
    const subject = this.#register.subject(row);
    if (subject === null) return row;
    const says = JSON.stringify(row);
    const said = this.#said.get(subject);
    if (said !== undefined && said !== says) {
      return new RowProblem(
        "conflicts",
        `An earlier row of this file says something else of ${subject}: which of the two is right?`,
      );
    }
    this.#said.set(subject, says);
    return row;
  }
}
