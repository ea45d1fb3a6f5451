import { canonicalNames } from "../columns/canonical-names.ts";
import type { Column } from "../columns/columns.ts";
import { TimeReader } from "../columns/parse-time.ts";
import type { RowTaker } from "../import-file.ts";
import type { OpenedFile } from "../open-file.ts";
import type { RecordBatch } from "../read-records.ts";
import type { RawRecord } from "../record.ts";
import { fieldText, forColumns, recordProblem } from "../record-fields.ts";
import type { Tally } from "../report.ts";
import type { FileIntake, FileKind, QuarantinedRow } from "../store/store.ts";
import {
  type RegisterStyle,
  RowProblem,
  readFluid,
  readGeometry,
  readInstrument,
  readService,
} from "./read-register-row.ts";

type RegisterKind = Exclude<FileKind, "readings">;
type TextOf = (column: Column) => string;

/** Takes the rows of one register file; a later row for the same thing replaces an earlier one. */
export class RegisterTaker implements RowTaker {
  readonly #file: OpenedFile;
  readonly #put: (texts: readonly TextOf[]) => Promise<(boolean | RowProblem)[]>;
  readonly #intake: FileIntake;
  readonly #tally: Tally;
  readonly #placesFor: (columns: readonly string[]) => ReadonlyMap<string, number>;

  constructor(file: OpenedFile, kind: RegisterKind, intake: FileIntake, tally: Tally) {
    const { times, toOwnUnit, columns: mapped } = file.profile;
    const style = { decimal: file.decimal, times: new TimeReader(times), toOwnUnit };
    this.#file = file;
    this.#put = putterOf(kind, intake, style);
    this.#intake = intake;
    this.#tally = tally;
    this.#placesFor = forColumns(
      (columns) => new Map(canonicalNames(columns, mapped).map((name, place) => [name, place])),
    );
  }

  async take({ columns, records }: RecordBatch): Promise<void> {
    const places = this.#placesFor(columns);
    const { constants } = this.#file.profile;
    const readable = records.filter((record) => recordProblem(record) === null);
    const answers = await this.#put(
      readable.map((record) => (column) => fieldText(record, places.get(column) ?? -1, constants[column])),
    );

    const held: QuarantinedRow[] = [];
    const hold = ({ line, part, raw }: RawRecord, { reason, message }: RowProblem) =>
      held.push({ line, part, raw, reason, message });
    for (const record of records) {
      const message = recordProblem(record);
      if (message !== null) hold(record, new RowProblem("unreadable-row", message));
    }
    for (const [i, answer] of answers.entries()) {
      if (answer instanceof RowProblem) hold(readable[i]!, answer);
      else if (answer) this.#tally.accept([]);
      else this.#tally.repeated++;
    }
    await this.#intake.quarantine(held);
    for (const { reason } of held) this.#tally.quarantine(reason);
  }

  async end(): Promise<void> {}
}

/** Reads rows of a kind and puts those without a problem into the store, in their order. */
function putterOf(kind: RegisterKind, intake: FileIntake, style: RegisterStyle) {
  const putter =
    <Row>(
      read: (text: TextOf, style: RegisterStyle) => Row | RowProblem,
      put: (rows: Row[]) => Promise<boolean[]>,
    ) =>
    async (texts: readonly TextOf[]): Promise<(boolean | RowProblem)[]> => {
      const rows = texts.map((text) => read(text, style));
      const stored = await put(rows.filter((row): row is Row => !(row instanceof RowProblem)));
      let next = 0;
      return rows.map((row) => (row instanceof RowProblem ? row : stored[next++]!));
    };
  switch (kind) {
    case "instruments":
      return putter(readInstrument, (rows) => intake.putInstruments(rows));
    case "services":
      return putter(readService, (rows) => intake.putServices(rows));
    case "fluids":
      return putter(readFluid, (rows) => intake.putFluids(rows));
    case "geometries":
      return putter(readGeometry, (rows) => intake.putGeometries(rows));
  }
}
