import { canonicalNames } from "../columns/canonical-names.ts";
import type { Column } from "../columns/columns.ts";
import { TimeReader } from "../columns/parse-time.ts";
import type { RowTaker } from "../import-file.ts";
import type { OpenedFile } from "../open-file.ts";
import type { RecordBatch } from "../read-records.ts";
import type { RawRecord } from "../record.ts";
import { fieldText, forColumns, recordProblem } from "../record-fields.ts";
import type { Tally } from "../report.ts";
import type { FileIntake, FileKind, FluidRecord, QuarantinedRow } from "../store/store.ts";
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

/** One register: how its rows are read, what they are about, and where they go. */
interface Register<Row> {
  readonly read: (text: (column: Column) => string, style: RegisterStyle) => Row | RowProblem;
  /** What a row is about; null where rows stand for themselves. */
  readonly subject: (row: Row) => string | null;
  readonly put: (rows: readonly Row[]) => Promise<boolean[]>;
  readonly end?: () => Promise<void>;
}

/** What takes the rows of a register file of this kind. */
export function registerTaker(
  file: OpenedFile,
  kind: Exclude<FileKind, "readings">,
  intake: FileIntake,
  tally: Tally,
): RowTaker {
  const take = <Row>(register: Register<Row>) => new RegisterTaker(file, register, intake, tally);
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

function fluidRegister(intake: FileIntake): Register<FluidRecord> {
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

/**
 * Takes the rows of one register file.
 *
 * @remarks A row replaces what earlier files said of the same thing; within a file the first row counts, and a
 * second one that says something else is held back.
 */
class RegisterTaker<Row> implements RowTaker {
  readonly #register: Register<Row>;
  readonly #style: RegisterStyle;
  readonly #constants: OpenedFile["constants"];
  readonly #intake: FileIntake;
  readonly #tally: Tally;
  readonly #placesFor: (columns: readonly string[]) => ReadonlyMap<string, number>;
  /** What this file says of each subject. */
  readonly #said = new Map<string, string>();

  constructor(file: OpenedFile, register: Register<Row>, intake: FileIntake, tally: Tally) {
    const { times, toOwnUnit, columns: mapped } = file.profile;
    this.#register = register;
    this.#style = { decimal: file.decimal, times: new TimeReader(times), toOwnUnit };
    this.#constants = file.constants;
    this.#intake = intake;
    this.#tally = tally;
    this.#placesFor = forColumns(
      (columns) => new Map(canonicalNames(columns, mapped).map((name, place) => [name, place])),
    );
  }

  async take({ columns, records }: RecordBatch): Promise<void> {
    const places = this.#placesFor(columns);
    const sound: Row[] = [];
    const held: QuarantinedRow[] = [];
    for (const record of records) {
      const row = this.#read(record, places);
      if (!(row instanceof RowProblem)) sound.push(row);
      else {
        const { line, column, part, raw } = record;
        held.push({ line, column, part, raw, reason: row.reason, message: row.message });
      }
    }
    for (const changed of await this.#register.put(sound)) {
      if (changed) this.#tally.accept([]);
      else this.#tally.repeated++;
    }
    await this.#intake.quarantine(held);
    for (const { reason } of held) this.#tally.quarantine(reason);
  }

  async end(): Promise<void> {
    await this.#register.end?.();
  }

  #read(record: RawRecord, places: ReadonlyMap<string, number>): Row | RowProblem {
    const problem = recordProblem(record);
    if (problem !== null) return new RowProblem("unreadable-row", problem);
    const text = (column: Column) => fieldText(record, places.get(column) ?? -1, this.#constants[column]);
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
