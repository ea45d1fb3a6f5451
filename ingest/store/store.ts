/**
 * The one way to the data, in an SQLite file or in a PostgreSQL database.
 *
 * Times are instants in milliseconds since 1970-01-01 UTC; dates are ISO days ("2026-08-02").
 * Identifiers are text, always.
 */

import type { Accounts } from "./accounts.ts";
import type { KeptBookings } from "./booking-rows.ts";
import type { StoreContents } from "./contents.ts";
import type { FindingDecision, OutFinding } from "./findings.ts";
import type { HeldRows, HeldState, KeptWay } from "./held.ts";
import type { FrozenLimit, Judgement, KeptFigures, KeptRecord, SettingsChange } from "./kept.ts";
import type { NoticeOutbox } from "./notice-outbox.ts";
import type { ReadingBatch } from "./reading-batch.ts";
import type { Trail } from "./trail.ts";

export const STAGES = ["routine", "as_found", "as_left"] as const;
export type Stage = (typeof STAGES)[number];

/** Flags of an accepted reading, in the order of their bits in {@link ReadingColumns.flags}. */
export const FLAGS = [
  "temperature-off",
  "torque-low",
  "lot-expired",
  "lot-unknown",
  "looks-nominal",
  "outlier",
] as const;
export type Flag = (typeof FLAGS)[number];

/** Why a row is held back, in the order in which they are tried. */
export const REASONS = [
  "unreadable-row",
  "missing-field",
  "not-a-number",
  "bad-time",
  "in-the-future",
  "negative",
  "over-range",
  "unknown-value",
  "unit-mixup",
  "range-disagrees",
  "reading-disagrees",
  "conflicts",
] as const;
export type Reason = (typeof REASONS)[number];

/** What a file may hold, in the order in which the files of a call are taken in. */
export const FILE_KINDS = ["instruments", "services", "fluids", "geometries", "results", "readings"] as const;
export type FileKind = (typeof FILE_KINDS)[number];

/** What a service may have done; an inspection does not end a life. */
export const SERVICE_ACTIONS = ["adjusted", "repaired", "inspected"] as const;
export type ServiceAction = (typeof SERVICE_ACTIONS)[number];
/** How often an instrument is used. */
export const USAGES = ["several_shifts", "daily", "weekly", "occasional"] as const;
export type Usage = (typeof USAGES)[number];
/** What a lot is made of. */
export const FLUID_TYPES = ["silicone", "mineral_oil"] as const;
export type FluidType = (typeof FLUID_TYPES)[number];

/** One row of the register of instruments. */
export interface InstrumentRecord {
  readonly instrument: string;
  readonly site: string | null;
  readonly modelClass: string | null;
  readonly fullScaleTorqueUnm: number | null;
  readonly usage: Usage | null;
  readonly inServiceSince: string | null;
  readonly lastService: string | null;
  readonly nextServiceDue: string | null;
}

/** One service; its day as ISO text. */
export interface ServiceRecord {
  readonly instrument: string;
  readonly servicedAt: string;
  readonly action: ServiceAction;
}

/** What a lot's certificate says. */
export interface FluidRecord {
  readonly fluidLot: string;
  readonly fluidType: FluidType | null;
  readonly nominalMPaS: number | null;
  readonly certifiedMPaS: number | null;
  readonly expandedUncertaintyPercent: number | null;
  readonly referenceTemperatureC: number | null;
  readonly temperatureCoefficientPercentPerK: number | null;
  readonly expiresOn: string | null;
}

/** The measures of one coaxial-cylinder accessory; the end factor multiplies the torque. */
export interface GeometryRecord {
  readonly geometry: string;
  readonly bobRadiusMm: number | null;
  readonly cupRadiusMm: number | null;
  readonly bobLengthMm: number | null;
  readonly endFactor: number | null;
}

/** What was measured with a unit in its daily use, so that it can be named should the unit be found out. */
export interface ResultRecord {
  readonly instrument: string;
  readonly measuredAtMs: number;
  readonly sample: string;
  readonly viscosityMPaS: number | null;
  /** Unit: % of full scale. */
  readonly torquePercent: number | null;
}

/** One accepted reading, complete: what was missing in the file has been looked up. */
export interface ReadingRecord {
  readonly instrument: string;
  readonly checkedAtMs: number;
  readonly speedRpm: number;
  readonly readingMPaS: number;
  readonly fluidValueMPaS: number;
  readonly fullScaleRangeMPaS: number;
  readonly torquePercent: number | null;
  readonly temperatureC: number | null;
  readonly fluidLot: string | null;
  readonly geometry: string | null;
  readonly site: string | null;
  readonly operator: string | null;
  readonly checkId: string | null;
  readonly stage: Stage;
  readonly flags: readonly Flag[];
  /** Line of the file, as an editor counts. */
  readonly line: number;
}

/** A row that was not used, word for word. */
export interface QuarantinedRow {
  readonly line: number;
  /** Where on its line the row begins, from 1; 1 wherever a row has a line to itself. */
  readonly column: number;
  /** Number of the reading within a wide or nested check, from 1; 0 where the row is one reading. */
  readonly part: number;
  readonly reason: Reason;
  /** One sentence for a laboratory person: the value, the rule, the likely cause. */
  readonly message: string;
  readonly raw: string;
  /** As far as the row could be read; null where it could not, or names none. */
  readonly instrument: string | null;
  readonly site: string | null;
}

/** Where a row stands in its file, and its text. */
export type RowPlace = Pick<QuarantinedRow, "line" | "column" | "part" | "raw">;

/** What came of a file when it was taken in. */
export interface FileRecord {
  readonly fileId: number;
  readonly file: string;
  readonly kind: FileKind;
  readonly sha256: string;
  /** Digest of the profile it was read with; empty without one. The same bytes under another profile are another file. */
  readonly profileSha256: string;
  readonly takenInAtMs: number;
  readonly rows: number;
  readonly accepted: number;
  readonly repeated: number;
  readonly quarantined: number;
  readonly flagged: number;
}

/** Which readings are looked at; all where nothing is said. */
export interface ReadingFilter {
  readonly instrument?: string;
  readonly instruments?: readonly string[];
  /** Up to and including this instant. Unit: ms since 1970-01-01 UTC. */
  readonly untilMs?: number;
}

/**
 * Readings as columns, each of length `count`, sorted by instrument (index), time, speed.
 * Text columns are indices into `names`; -1 is "not recorded". Missing numbers are NaN.
 */
export interface ReadingColumns {
  readonly count: number;
  readonly instrument: Int32Array;
  readonly checkedAtMs: Float64Array;
  /** Running number of the check (see {@link sameCheck}) over all rows: 0, 1, 2 ... never falling. */
  readonly check: Int32Array;
  readonly speedRpm: Float64Array;
  readonly readingMPaS: Float64Array;
  readonly fluidValueMPaS: Float64Array;
  readonly fullScaleRangeMPaS: Float64Array;
  readonly torquePercent: Float64Array;
  readonly temperatureC: Float64Array;
  readonly fluidLot: Int32Array;
  readonly geometry: Int32Array;
  readonly site: Int32Array;
  readonly operator: Int32Array;
  /** Index into {@link STAGES}. */
  readonly stage: Uint8Array;
  /** Bit i stands for FLAGS[i]. */
  readonly flags: Uint16Array;
  readonly fileId: Int32Array;
  readonly line: Int32Array;
  readonly names: {
    /** Only those that the filter leaves. */
    readonly instruments: readonly string[];
    readonly fluidLots: readonly string[];
    readonly geometries: readonly string[];
    readonly sites: readonly string[];
    readonly operators: readonly string[];
  };
}

export type ReadingOutcome = "accepted" | "repeated" | "conflicts";

/** How often a unit's stored checks used one full-scale range, as speed x range. */
export interface RangeUse {
  readonly geometry: string | null;
  /** Speed x full-scale range. Unit: mPa·s·min⁻¹. */
  readonly constant: number;
  readonly checks: number;
}

/** A stored reading with what the comparison of a check's readings needs. */
export interface StoredReading {
  readonly checkedAtMs: number;
  readonly speedRpm: number;
  readonly readingMPaS: number;
  readonly fluidValueMPaS: number;
  readonly fullScaleRangeMPaS: number;
  readonly checkId: string | null;
  readonly flags: number;
  /** Brought by the file that is being taken in. */
  readonly fromThisFile: boolean;
}

/** A stored reading with what its lot's certificate has a say in. */
export type LotReading = Pick<
  ReadingRecord,
  | "instrument"
  | "checkedAtMs"
  | "speedRpm"
  | "fluidValueMPaS"
  | "fullScaleRangeMPaS"
  | "temperatureC"
  | "fluidLot"
> & { readonly flags: number };

/** What readings are judged by, each by its name. */
export interface Registers {
  readonly instruments: ReadonlyMap<string, InstrumentRecord>;
  readonly fluids: ReadonlyMap<string, FluidRecord>;
  readonly geometries: ReadonlyMap<string, GeometryRecord>;
}

/**
 * What rows do to the store within one transaction.
 * Rows come in batches, in file order; the answer to row i of a batch takes the rows before it into account.
 */
export interface RowIntake {
  /** The registers as they stand, with what this file has put so far. */
  registers(): Promise<Registers>;
  /** Adds or replaces register rows; false where the very same row is stored already. */
  putInstruments(rows: readonly InstrumentRecord[]): Promise<boolean[]>;
  putServices(rows: readonly ServiceRecord[]): Promise<boolean[]>;
  putFluids(rows: readonly FluidRecord[]): Promise<boolean[]>;
  putGeometries(rows: readonly GeometryRecord[]): Promise<boolean[]>;
  putResults(rows: readonly ResultRecord[]): Promise<boolean[]>;
  /** Adds readings unless one with the same instrument, time and speed is stored: equal values make it a repeat. */
  addReadings(batch: ReadingBatch): Promise<ReadingOutcome[]>;
  /** Whether each reading is stored already with the same values. */
  areStored(batch: ReadingBatch): Promise<boolean[]>;
  /** How many readings of one unit are stored between two instants, both included. */
  countBetween(instrument: string, fromMs: number, untilMs: number): Promise<number>;
  /** One unit's readings between two instants, both included, by time and speed. */
  readingsBetween(instrument: string, fromMs: number, untilMs: number): Promise<readonly StoredReading[]>;
  /** The stored readings made with any of these lots, one after the other. */
  readingsOfLots(fluidLots: readonly string[]): AsyncIterable<LotReading>;
  setFlags(
    instrument: string,
    rows: readonly Pick<StoredReading, "checkedAtMs" | "speedRpm" | "flags">[],
  ): Promise<void>;
  rollback(): Promise<void>;
}

/** What one file does to the store, all or nothing. Ends with exactly one of `commit` and `rollback`. */
export interface FileIntake extends RowIntake {
  /**
   * Keeps rows that cannot be used, with the way in which they were read, each once: by its words, its place and the
   * header above it, whatever the file is called.
   *
   * @returns What became of each: "held", unless the same row was held before and somebody has settled it.
   */
  quarantine(rows: readonly QuarantinedRow[], way: KeptWay): Promise<HeldState[]>;
  /** Lines at which rows of earlier files are held. */
  heldLines(): Promise<ReadonlySet<number>>;
  /** Told of rows that are in use now: those among them that earlier files brought, and that were held, are settled. */
  settleHeld(rows: readonly RowPlace[], header: KeptWay["header"]): Promise<void>;
  /** Keeps everything. A file that changed nothing and was recorded before leaves no second record. */
  commit(totals: Omit<FileRecord, "fileId" | "file" | "takenInAtMs">): Promise<void>;
}

/** A trial: files are taken in one after the other, each seeing what came before, and nothing stays. */
export interface Rehearsal {
  beginFile(file: string, takenInAtMs: number): Promise<FileIntake>;
  end(): Promise<void>;
}

/** The data of one laboratory network, in whatever database. */
export interface Store {
  /** As given to `openStore`, to open it again elsewhere; it may hold a password and is never shown. */
  readonly location: string;
  /** What it is called in messages. */
  readonly shown: string;
  /** Grows with every commit that changed something; what was computed is kept by it. */
  revision(): Promise<number>;
  /**
   * Opens a transaction for one file.
   * @throws {StoreError} "store-locked" where another writer does not end within some seconds.
   */
  beginFile(file: string, takenInAtMs: number): Promise<FileIntake>;
  rehearse(): Promise<Rehearsal>;
  /** The record of a file whose bytes were taken in before with the same profile, the latest one. */
  fileTakenIn(sha256: string, profileSha256: string): Promise<FileRecord | null>;
  /** The ranges that one unit's stored checks used. */
  rangeUses(instrument: string): Promise<readonly RangeUse[]>;
  /** Registered instruments by name, or only one of them. */
  instruments(instrument?: string): Promise<readonly InstrumentRecord[]>;
  /** By instrument and day, of all instruments or of one. */
  services(instrument?: string): Promise<readonly ServiceRecord[]>;
  fluids(): Promise<readonly FluidRecord[]>;
  geometries(): Promise<readonly GeometryRecord[]>;
  /** What was measured with one unit between two instants, both included, oldest first. */
  results(instrument: string, fromMs: number, untilMs: number): Promise<readonly ResultRecord[]>;
  /** Readings that a filter leaves; all of them without one. */
  readings(filter?: ReadingFilter): Promise<ReadingColumns>;
  files(): Promise<readonly FileRecord[]>;
  /** Units that people recorded as found out of tolerance, oldest first. */
  findings(): Promise<readonly OutFinding[]>;
  /** @returns Its number, by which it is decided on. */
  openFinding(finding: Omit<OutFinding, "id" | "decisions">): Promise<number>;
  decideFinding(id: number, decision: FindingDecision): Promise<void>;
  /** What was learnt from the fleet last, as of a day or before it, on the same basis. */
  figures(asOf: string, basis: string): Promise<KeptFigures | null>;
  /** Keeps what was learnt from the fleet; data stays as it is, and so does the revision. */
  keepFigures(figures: KeptFigures): Promise<void>;
  /** How past forecasts came true, worked out last as of a day or before it, on the same basis. */
  record(asOf: string, basis: string): Promise<KeptRecord | null>;
  /** Keeps such a record in place of earlier ones; data stays as it is, and so does the revision. */
  keepRecord(record: KeptRecord): Promise<void>;
  /** Limits frozen by earlier runs, of one instrument or of all. */
  frozenLimits(instrument?: string): Promise<readonly FrozenLimit[]>;
  /** Keeps limits that are not there yet; no change of the data, so that the revision stays. */
  keepLimits(limits: readonly FrozenLimit[]): Promise<void>;
  /** Oldest first. */
  settingsChanges(): Promise<readonly SettingsChange[]>;
  changeSettings(change: SettingsChange): Promise<void>;
  /** Oldest first, undone ones and those that undo them included. */
  judgements(): Promise<readonly Judgement[]>;
  /** @returns Its number, by which it can be undone. */
  addJudgement(judgement: Omit<Judgement, "id">): Promise<number>;
  /** Rows that are held back and that nobody has settled. */
  quarantined(): Promise<readonly (QuarantinedRow & { readonly file: string })[]>;
  readonly held: HeldRows;
  readonly trail: Trail;
  readonly bookings: KeptBookings;
  readonly notices: NoticeOutbox;
  readonly accounts: Accounts;
  /** Everything at once, to be moved elsewhere. */
  readonly contents: StoreContents;
  close(): Promise<void>;
}
