import type { ReadingColumn } from "../columns/columns.ts";
import { parseNumber } from "../columns/parse-number.ts";
import type { TimeReader } from "../columns/parse-time.ts";
import type { FluidRecord, Registers, Stage } from "../store/store.ts";
import { STAGES } from "../store/store.ts";
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

export type ReadingText = Readonly<Record<ReadingColumn, string>>;

/**
 * A reading on its way to be judged: what the row says, and what the registers add.
 * Numbers are null where the row has none and NaN where its text is no number.
 */
export interface ReadingDraft {
  readonly text: ReadingText;
  readonly stage: Stage | null;
  readonly checkedAtMs: number;
  readonly speedRpm: number | null;
  readonly readingMPaS: number | null;
  readonly fluidValueMPaS: number | null;
  readonly fullScaleRangeMPaS: number | null;
  readonly torquePercent: number | null;
  readonly temperatureC: number | null;
  /** The reading was worked out from torque and range. */
  readonly readingFromTorque: boolean;
  readonly lot: FluidRecord | undefined;
  /** Speed x range from the measures of instrument and geometry; null where they are not registered. */
  readonly registeredConstant: number | null;
}

/** Reads the texts of one reading and completes them from the registers. */
export function draftReading(text: ReadingText, context: ReadingContext): ReadingDraft {
  const { decimal, toOwnUnit } = context;
  const number = (written: string, convert: ((value: number) => number) | undefined) => {
    if (written === "") return null;
    const value = parseNumber(written, decimal);
    return convert === undefined ? value : convert(value);
  };
  const { registers } = context;
  const lot = registers.fluids.get(text.fluid_lot);
  const registeredConstant = rangeConstant(
    registers.instruments.get(text.instrument)?.fullScaleTorqueUnm ?? null,
    registers.geometries.get(text.geometry),
  );

  const speedRpm = number(text.speed_rpm, toOwnUnit.speed_rpm);
  const torquePercent = number(text.torque_percent, toOwnUnit.torque_percent);
  const writtenReading = number(text.reading_mpas, toOwnUnit.reading_mpas);
  const fullScaleRangeMPaS =
    number(text.full_scale_range_mpas, toOwnUnit.full_scale_range_mpas) ??
    (registeredConstant === null || speedRpm === null ? null : registeredConstant / speedRpm);
  const readingFromTorque = writtenReading === null && torquePercent !== null && fullScaleRangeMPaS !== null;

  return {
    text,
    stage: stageOf(text.stage, context.stageWords),
    checkedAtMs: context.times.instantOf(text.checked_at),
    speedRpm,
    readingMPaS: readingFromTorque ? (torquePercent * fullScaleRangeMPaS) / 100 : writtenReading,
    fluidValueMPaS: number(text.fluid_value_mpas, toOwnUnit.fluid_value_mpas) ?? lot?.certifiedMPaS ?? null,
    fullScaleRangeMPaS,
    torquePercent,
    temperatureC: number(text.temperature_c, toOwnUnit.temperature_c),
    readingFromTorque,
    lot,
    registeredConstant,
  };
}

function stageOf(written: string, words: ReadonlyMap<string, Stage>): Stage | null {
  if (written === "") return "routine";
  if (words.size === 0 && isStage(written)) return written;
  const lower = written.toLowerCase();
  const word = lower.replace(/[ -]/g, "_");
  return words.get(lower) ?? STAGES.find((stage) => stage === word) ?? null;
}

function isStage(written: string): written is Stage {
  return written === "routine" || written === "as_found" || written === "as_left";
}
