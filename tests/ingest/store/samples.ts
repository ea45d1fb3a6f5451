import type {
  FileIntake,
  FluidRecord,
  InstrumentRecord,
  KeptWay,
  QuarantinedRow,
  ReadingColumns,
  ReadingRecord,
} from "../../../ingest/index.ts";

/** One row of each kind, for tests of stores. */

export const TAKEN_IN = Date.parse("2026-04-01T12:00:00Z");

export const reading: ReadingRecord = {
  instrument: "007",
  checkedAtMs: Date.parse("2026-03-01T10:00:00.250Z"),
  speedRpm: 60,
  readingMPaS: 95.6,
  fluidValueMPaS: 95,
  fullScaleRangeMPaS: 200,
  torquePercent: 47.8,
  temperatureC: 25.03,
  fluidLot: "LOT-1",
  geometry: "cup-A",
  site: "Aldermoor",
  operator: "op-1",
  checkId: "C1",
  stage: "as_found",
  flags: ["torque-low", "outlier"],
  line: 2,
};

export const instrument: InstrumentRecord = {
  instrument: "007",
  site: "Aldermoor",
  modelClass: "low torque",
  fullScaleTorqueUnm: 120,
  usage: "daily",
  inServiceSince: "2023-01-01",
  lastService: null,
  nextServiceDue: "2026-08-02",
};

export const fluid: FluidRecord = {
  fluidLot: "LOT-1",
  fluidType: "silicone",
  nominalMPaS: 100,
  certifiedMPaS: 95,
  expandedUncertaintyPercent: 0.5,
  referenceTemperatureC: 25,
  temperatureCoefficientPercentPerK: -1.9,
  expiresOn: "2026-12-31",
};

export const held: QuarantinedRow = {
  line: 3,
  column: 1,
  part: 0,
  reason: "negative",
  message: "-1 in speed_rpm is below zero.",
  raw: "007,-1",
  instrument: "007",
  site: null,
};

/** The store's answer where {@link reading} is all it holds. */
export const readingAsColumns = (fileId: number): ReadingColumns => ({
  count: 1,
  instrument: Int32Array.of(0),
  checkedAtMs: Float64Array.of(reading.checkedAtMs),
  check: Int32Array.of(0),
  speedRpm: Float64Array.of(60),
  readingMPaS: Float64Array.of(95.6),
  fluidValueMPaS: Float64Array.of(95),
  fullScaleRangeMPaS: Float64Array.of(200),
  torquePercent: Float64Array.of(47.8),
  temperatureC: Float64Array.of(25.03),
  fluidLot: Int32Array.of(0),
  geometry: Int32Array.of(0),
  site: Int32Array.of(0),
  operator: Int32Array.of(0),
  stage: Uint8Array.of(1),
  flags: Uint16Array.of(0b100010),
  fileId: Int32Array.of(fileId),
  line: Int32Array.of(2),
  names: {
    instruments: ["007"],
    fluidLots: ["LOT-1"],
    geometries: ["cup-A"],
    sites: ["Aldermoor"],
    operators: ["op-1"],
  },
});

/** How the file of {@link held} was read. */
export const way: KeptWay = {
  kind: "readings",
  form: { name: "csv", delimiter: "," },
  decimal: ".",
  header: ["instrument", "speed_rpm"],
  profile: {},
};

/** A digest for a file that a test makes up. */
export const digest = (letter: string) => letter.repeat(64);

export type Totals = Parameters<FileIntake["commit"]>[0];
export const totals = (changes: Partial<Totals> = {}): Totals => ({
  kind: "readings",
  sha256: digest("a"),
  profileSha256: "",
  rows: 0,
  accepted: 0,
  repeated: 0,
  quarantined: 0,
  flagged: 0,
  ...changes,
});
