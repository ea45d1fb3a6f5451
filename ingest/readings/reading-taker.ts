import type { HeldPlace } from "../held/held-place.ts";
import type { RowTaker } from "../import-file.ts";
import type { RecordBatch } from "../read-records.ts";
import type { RawRecord } from "../record.ts";
import { recordProblem } from "../record-fields.ts";
import type { Tally } from "../report.ts";
import type {
  Flag,
  QuarantinedRow,
  ReadingOutcome,
  ReadingRecord,
  Reason,
  RowIntake,
  RowPlace,
} from "../store/store.ts";
import type { WayOfReading } from "../way-of-reading.ts";
import { amount } from "../wording.ts";
import { draftReading, type ReadingContext, type ReadingDraft } from "./draft.ts";
import { flagOutliers } from "./flag-outliers.ts";
import { flagReading } from "./flags.ts";
import { readingTextsOf, type TextReading } from "./reading-texts.ts";
import { judge } from "./sense-checks.ts";
import { Touched } from "./touched.ts";
import { UnknownLots } from "./unknown-lots.ts";

/** Readings that go to the store at once. */
const BATCH = 2000;

/** These rest on what else is known, which may have grown since the same reading was accepted. */
const MAY_BE_STORED: ReadonlySet<Reason> = new Set(["unit-mixup", "range-disagrees", "reading-disagrees"]);

type Objection = Pick<QuarantinedRow, "reason" | "message">;

interface JudgedReading {
  readonly row: Omit<QuarantinedRow, keyof Objection>;
  /** null where the row does not say enough to make one. */
  readonly reading: ReadingRecord | null;
  readonly against: Objection | null;
}

/** Takes the readings of one file: judges each, keeps what is sound, holds back the rest. */
export class ReadingTaker implements RowTaker {
  readonly #intake: RowIntake;
  readonly #held: HeldPlace;
  readonly #constants: WayOfReading["constants"];
  readonly #context: ReadingContext;
  readonly #tally: Tally;
  readonly #textsOf: (columns: RecordBatch["columns"], record: RawRecord) => TextReading[];
  #columns: RecordBatch["columns"] = [];
  #waiting: JudgedReading[] = [];
  readonly #touched = new Touched();
  readonly #unknownLots = new UnknownLots();

  /** @param held Where rows go that are not used. */
  constructor(way: WayOfReading, intake: RowIntake, held: HeldPlace, context: ReadingContext, tally: Tally) {
    this.#intake = intake;
    this.#held = held;
    this.#constants = way.constants;
    this.#context = context;
    this.#tally = tally;
    this.#textsOf = readingTextsOf(way);
  }

  async take({ columns, records }: RecordBatch): Promise<void> {
    this.#columns = columns;
    for (const record of records) {
      const message = recordProblem(record);
      if (message === null) {
        for (const reading of this.#textsOf(columns, record)) this.#waiting.push(this.#judge(reading));
      } else {
        const { line, column, part, raw } = record;
        const row = { line, column, part, raw, instrument: null, site: this.#constants.site ?? null };
        this.#waiting.push({ row, reading: null, against: { reason: "unreadable-row", message } });
      }
      if (this.#waiting.length >= BATCH) await this.#store();
    }
  }

  async end(): Promise<void> {
    await this.#store();
    await flagOutliers(this.#intake, this.#touched, this.#tally);
    this.#tally.notes.push(...this.#unknownLots.notes(this.#context.registers.fluids.keys()));
  }

  #judge({ record, part, text }: TextReading): JudgedReading {
    const draft = draftReading(text, this.#context);
    if (draft.lot === undefined && text.fluid_lot !== "") this.#unknownLots.add(text.fluid_lot);
    const against = judge(draft, this.#context);
    const isComplete = against === null || MAY_BE_STORED.has(against.reason);
    return {
      row: {
        line: record.line,
        column: record.column,
        part,
        raw: record.raw,
        instrument: text.instrument || null,
        site: text.site || null,
      },
      reading: isComplete ? toReading(draft, record.line) : null,
      against,
    };
  }

  async #store(): Promise<void> {
    const sound = this.#waiting.filter(({ against }) => against === null);
    const suspect = this.#waiting.filter(({ against, reading }) => against !== null && reading !== null);
    const outcomes = await this.#intake.addReadings(sound.map(({ reading }) => reading!));
    const areStored = await this.#intake.areStored(suspect.map(({ reading }) => reading!));
    const outcomeOf = new Map<JudgedReading, ReadingOutcome>(
      sound.map((judged, i) => [judged, outcomes[i]!]),
    );
    for (const [i, judged] of suspect.entries()) if (areStored[i]) outcomeOf.set(judged, "repeated");

    const held: QuarantinedRow[] = [];
    const used: RowPlace[] = [];
    for (const judged of this.#waiting) {
      const { row, reading, against } = judged;
      const outcome = outcomeOf.get(judged);
      if (outcome === "accepted") this.#accept(reading!);
      else if (outcome === "repeated") this.#tally.repeated++;
      else {
        held.push({ ...row, ...(against ?? conflict(reading!)) });
        continue;
      }
      used.push(row);
    }
    this.#tally.hold(held, await this.#held.hold(held, this.#columns));
    await this.#held.inUse(used, this.#columns);
    this.#waiting = [];
  }

  #accept({ instrument, checkedAtMs, flags }: ReadingRecord): void {
    this.#tally.accept(flags);
    this.#touched.add(instrument, checkedAtMs);
  }
}

const NO_FLAGS: readonly Flag[] = [];

/** Only for a draft in which nothing is missing. */
function toReading(draft: ReadingDraft, line: number): ReadingRecord {
  const { text, lot } = draft;
  const reading = {
    instrument: text.instrument,
    checkedAtMs: draft.checkedAtMs,
    speedRpm: draft.speedRpm!,
    readingMPaS: draft.readingMPaS!,
    fluidValueMPaS: draft.fluidValueMPaS!,
    fullScaleRangeMPaS: draft.fullScaleRangeMPaS!,
    torquePercent: draft.torquePercent,
    temperatureC: draft.temperatureC,
    fluidLot: text.fluid_lot || null,
    geometry: text.geometry || null,
    site: text.site || null,
    operator: text.operator || null,
    checkId: text.check_id || null,
    stage: draft.stage!,
    flags: NO_FLAGS,
    line,
  };
  reading.flags = flagReading(reading, lot);
  return reading;
}

function conflict({ instrument, checkedAtMs, speedRpm }: ReadingRecord): Objection {
  const time = new Date(checkedAtMs).toISOString().replace(".000Z", "Z");
  const message = `For ${instrument} at ${time} and ${amount(speedRpm)} min⁻¹ a reading with other values was taken in before: which of the two is right?`;
  return { reason: "conflicts", message };
}
