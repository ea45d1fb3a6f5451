/**
 * The one way to the data. SQLite implements it now; a server database can take its place.
 *
 * Times are instants in milliseconds since 1970-01-01 UTC; dates are ISO days ("2026-08-02").
 * Identifiers are text, always.
 */

export type Stage = "routine" | "as_found" | "as_left";
export const STAGES: readonly Stage[] = ["routine", "as_found", "as_left"];

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

export type FileKind = "readings" | "instruments" | "services" | "fluids" | "geometries";

export interface InstrumentRecord {
  readonly instrument: string;
  readonly site: string | null;
  readonly modelClass: string | null;
  readonly fullScaleTorqueUnm: number | null;
  readonly usage: string | null;
  readonly inServiceSince: string | null;
  readonly lastService: string | null;
  readonly nextServiceDue: string | null;
}

export interface ServiceRecord {
  readonly instrument: string;
  readonly servicedAt: string;
  readonly action: "adjusted" | "repaired" | "inspected";
}

export interface FluidRecord {
  readonly fluidLot: string;
  readonly fluidType: "silicone" | "mineral_oil" | null;
  readonly nominalMPaS: number | null;
  readonly certifiedMPaS: number | null;
  readonly expandedUncertaintyPercent: number | null;
  readonly referenceTemperatureC: number | null;
  readonly temperatureCoefficientPercentPerK: number | null;
  readonly expiresOn: string | null;
}

export interface GeometryRecord {
  readonly geometry: string;
  readonly bobRadiusMm: number | null;
  readonly cupRadiusMm: number | null;
  readonly bobLengthMm: number | null;
  readonly endFactor: number | null;
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
  readonly reason: Reason;
  /** One sentence for a laboratory person: the value, the rule, the likely cause. */
  readonly message: string;
  readonly raw: string;
}

export interface FileRecord {
  readonly fileId: number;
  readonly file: string;
  readonly kind: FileKind;
  readonly sha256: string;
  readonly takenInAtMs: number;
  readonly rows: number;
  readonly accepted: number;
  readonly repeated: number;
  readonly quarantined: number;
  readonly flagged: number;
}

/**
 * Readings as columns, each of length `count`, sorted by instrument (index), time, speed.
 * Text columns are indices into `names`; -1 is "not recorded". Missing numbers are NaN.
 */
export interface ReadingColumns {
  readonly count: number;
  readonly instrument: Int32Array;
  readonly checkedAtMs: Float64Array;
  readonly speedRpm: Float64Array;
  readonly readingMPaS: Float64Array;
  readonly fluidValueMPaS: Float64Array;
  readonly fullScaleRangeMPaS: Float64Array;
  readonly temperatureC: Float64Array;
  readonly fluidLot: Int32Array;
  readonly geometry: Int32Array;
  readonly site: Int32Array;
  readonly operator: Int32Array;
  /** Readings of one instrument with the same number share a check_id; -1 is "not recorded". */
  readonly checkId: Int32Array;
  /** Index into {@link STAGES}. */
  readonly stage: Uint8Array;
  /** Bit i stands for FLAGS[i]. */
  readonly flags: Uint16Array;
  readonly fileId: Int32Array;
  readonly line: Int32Array;
  readonly names: {
    readonly instruments: readonly string[];
    readonly fluidLots: readonly string[];
    readonly geometries: readonly string[];
    readonly sites: readonly string[];
    readonly operators: readonly string[];
  };
}

export type ReadingOutcome = "accepted" | "repeated" | "conflicts";

/**
 * What one file does to the store, all or nothing. Ends with exactly one of `commit` and `rollback`.
 * Rows come in batches, in file order; the answer to row i of a batch takes the rows before it into account.
 */
export interface FileIntake {
  /** Adds or replaces register rows; false where the very same row is stored already. */
  putInstruments(rows: readonly InstrumentRecord[]): Promise<boolean[]>;
  putServices(rows: readonly ServiceRecord[]): Promise<boolean[]>;
  putFluids(rows: readonly FluidRecord[]): Promise<boolean[]>;
  putGeometries(rows: readonly GeometryRecord[]): Promise<boolean[]>;
  /** Adds readings unless one with the same instrument, time and speed is stored: equal values make it a repeat. */
  addReadings(rows: readonly ReadingRecord[]): Promise<ReadingOutcome[]>;
  /** Keeps rows that cannot be used; false where the same row, word for word, is held already. */
  quarantine(rows: readonly QuarantinedRow[]): Promise<boolean[]>;
  commit(totals: Omit<FileRecord, "fileId" | "takenInAtMs">): Promise<void>;
  rollback(): Promise<void>;
}

export interface Store {
  /** As given to `openStore`, for messages. */
  readonly location: string;
  /** Grows with every commit that changed something; what was computed is kept by it. */
  revision(): Promise<number>;
  /** Opens a transaction for one file. Waits for another writer for some seconds, then says so. */
  beginFile(file: string, takenInAtMs: number): Promise<FileIntake>;
  instruments(): Promise<readonly InstrumentRecord[]>;
  services(): Promise<readonly ServiceRecord[]>;
  fluids(): Promise<readonly FluidRecord[]>;
  geometries(): Promise<readonly GeometryRecord[]>;
  /** Readings up to and including `untilMs` (all if left out), of one instrument or of all. */
  readings(filter?: { readonly instrument?: string; readonly untilMs?: number }): Promise<ReadingColumns>;
  files(): Promise<readonly FileRecord[]>;
  quarantined(): Promise<readonly (QuarantinedRow & { readonly file: string })[]>;
  close(): Promise<void>;
}
