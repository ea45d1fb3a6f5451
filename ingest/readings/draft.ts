import type { ReadingColumn } from "../columns/columns.ts";
import { parseNumber } from "../columns/parse-number.ts";
import { TimeReader } from "../columns/parse-time.ts";
import type { FluidRecord, Registers, Stage } from "../store/store.ts";
import { STAGES } from "../store/store.ts";
import type { WayOfReading } from "../way-of-reading.ts";
import { rangeConstant } from "./full-scale-range.ts";
import type { RangeConstants } from "./range-constants.ts";

/** Everything that reading one row needs to know. */
export interface ReadingContext {
  readonly registers: Registers;
  readonly ranges: RangeConstants;
  readonly times: TimeReader;
  readonly nowMs: number;
  readonly decimal: "." | ",";
  /** Units of the file's columns: from a number as written to the column's own unit. */
  readonly toOwnUnit: Readonly<Partial<Record<ReadingColumn, (value: number) => number>>>;
  /** A site's own words for stages, in lower case. */
  readonly stageWords: ReadonlyMap<string, Stage>;
}

/** All that readings of a file are judged by. */
export function readingContext(
  { profile, decimal }: WayOfReading,
  ranges: RangeConstants,
  registers: Registers,
  nowMs: number,
): ReadingContext {
  const { toOwnUnit, stageWords, times } = profile;
  return { registers, ranges, nowMs, times: new TimeReader(times), decimal, toOwnUnit, stageWords };
}

export type ReadingText = Readonly<Record<ReadingColumn, string>>;

/** What a row says of one reading. Numbers are null where the row has none and NaN where its text is no number. */
export interface WrittenReading {
  readonly text: ReadingText;
  readonly stage: Stage | null;
  readonly checkedAtMs: number;
  readonly speedRpm: number | null;
  readonly readingMPaS: number | null;
  readonly fluidValueMPaS: number | null;
  readonly fullScaleRangeMPaS: number | null;
  readonly torquePercent: number | null;
  readonly temperatureC: number | null;
}

/** The columns that are numbers, with the field of a reading that each becomes, in the order in which they are judged. */
export const NUMBER_FIELDS = [
  ["speed_rpm", "speedRpm"],
  ["reading_mpas", "readingMPaS"],
  ["fluid_value_mpas", "fluidValueMPaS"],
  ["full_scale_range_mpas", "fullScaleRangeMPaS"],
  ["torque_percent", "torquePercent"],
  ["temperature_c", "temperatureC"],
] as const;

/** A reading on its way to be judged: what the row says, and what the registers add. */
export interface ReadingDraft extends WrittenReading {
  /** The reading was worked out from torque and range. */
  readonly readingFromTorque: boolean;
  readonly lot: FluidRecord | undefined;
  /** Speed x range from the measures of instrument and geometry; null where they are not registered. */
  readonly registeredConstant: number | null;
}

/** Reads the texts of one reading. */
export function writtenReading(
  text: ReadingText,
  { decimal, toOwnUnit, stageWords, times }: ReadingContext,
): WrittenReading {
  const number = (written: string, convert: ((value: number) => number) | undefined) => {
    if (written === "") return null;
    const value = parseNumber(written, decimal);
    return convert === undefined ? value : convert(value);
  };
  return {
    text,
    stage: stageOf(text.stage, stageWords),
    checkedAtMs: times.instantOf(text.checked_at),
    speedRpm: number(text.speed_rpm, toOwnUnit.speed_rpm),
    readingMPaS: number(text.reading_mpas, toOwnUnit.reading_mpas),
    fluidValueMPaS: number(text.fluid_value_mpas, toOwnUnit.fluid_value_mpas),
    fullScaleRangeMPaS: number(text.full_scale_range_mpas, toOwnUnit.full_scale_range_mpas),
    torquePercent: number(text.torque_percent, toOwnUnit.torque_percent),
    temperatureC: number(text.temperature_c, toOwnUnit.temperature_c),
  };
}

/** Completes a reading from the registers. */
export function draftReading(written: WrittenReading, { registers }: ReadingContext): ReadingDraft {
  const { text, stage, checkedAtMs, speedRpm, torquePercent, temperatureC } = written;
  const lot = registers.fluids.get(text.fluid_lot);
  const registeredConstant = rangeConstant(
    registers.instruments.get(text.instrument)?.fullScaleTorqueUnm ?? null,
    registers.geometries.get(text.geometry),
  );
  const fullScaleRangeMPaS =
    written.fullScaleRangeMPaS ??
    (registeredConstant === null || speedRpm === null ? null : registeredConstant / speedRpm);
  const readingFromTorque =
    written.readingMPaS === null && torquePercent !== null && fullScaleRangeMPaS !== null;
  return {
    text,
    stage,
    checkedAtMs,
    speedRpm,
    readingMPaS: readingFromTorque ? (torquePercent * fullScaleRangeMPaS) / 100 : written.readingMPaS,
    fluidValueMPaS: written.fluidValueMPaS ?? lot?.certifiedMPaS ?? null,
    fullScaleRangeMPaS,
    torquePercent,
    temperatureC,
    readingFromTorque,
    lot,
    registeredConstant,
  };
}

/** The stage that a row or a site's own word names; routine where it names none, null where nobody knows it. */
export function stageOf(written: string, words: ReadonlyMap<string, Stage>): Stage | null {
  if (written === "") return "routine";
  if (words.size === 0 && isStage(written)) return written;
  const lower = written.toLowerCase();
  const word = lower.replace(/[ -]/g, "_");
  return words.get(lower) ?? STAGES.find((stage) => stage === word) ?? null;
}

function isStage(written: string): written is Stage {
  return written === "routine" || written === "as_found" || written === "as_left";
}
