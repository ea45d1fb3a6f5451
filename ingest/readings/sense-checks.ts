import { type Reason, STAGES } from "../store/store.ts";
import { amount } from "../wording.ts";
import { NUMBER_FIELDS, type ReadingContext, type ReadingDraft } from "./draft.ts";

/** What is wrong with a reading, as a sentence for a laboratory person; null where nothing is. */
type SenseCheck = (draft: ReadingDraft, context: ReadingContext) => string | null;

/** A time without an offset is taken as UTC; the clocks furthest east are 14 hours ahead. */
const CLOCKS_MAY_BE_AHEAD_MS = 14 * 3_600_000;
/** Before 1950 no such instrument wrote its checks down. */
const EARLIEST_MS = Date.UTC(1950, 0, 1);
/** A factor of 1000, give or take what a reading and its expected value may differ by. Unit: decades. */
const THOUSAND_WITHIN = 0.15;
/** Near enough to tell which of three numbers is a thousand times off. */
const ROUGHLY = 0.1;
const RANGE_MAY_DIFFER = 0.02;
const TORQUE_MAY_DIFFER_PERCENT = 0.5;
/** Room for the rounding of binary fractions at a limit. */
const ROUNDING = 1e-9;

/**
 * Whether all numbers are above zero, or not there: of nearly every reading, so that the checks below that go from
 * column to column need not.
 */
function areAllPositive(draft: ReadingDraft): boolean {
  const { speedRpm, readingMPaS, fluidValueMPaS, fullScaleRangeMPaS, torquePercent, temperatureC } = draft;
  return (
    (speedRpm === null || speedRpm > 0) &&
    (readingMPaS === null || readingMPaS > 0) &&
    (fluidValueMPaS === null || fluidValueMPaS > 0) &&
    (fullScaleRangeMPaS === null || fullScaleRangeMPaS > 0) &&
    (torquePercent === null || torquePercent > 0) &&
    (temperatureC === null || temperatureC > 0)
  );
}

/** Every reason that one row alone can give, in the order in which they apply. */
const SENSE_CHECKS: readonly (readonly [Reason, SenseCheck])[] = [
  ["unreadable-row", unknownStage],
  ["missing-field", missingField],
  ["not-a-number", notANumber],
  ["bad-time", badTime],
  ["in-the-future", inTheFuture],
  ["negative", negative],
  ["over-range", overRange],
  ["unknown-value", unknownValue],
  ["unit-mixup", unitMixup],
  ["range-disagrees", rangeDisagrees],
  ["reading-disagrees", readingDisagrees],
];

/** The first reason against a reading, or null. */
export function judge(
  draft: ReadingDraft,
  context: ReadingContext,
): { reason: Reason; message: string } | null {
  for (const [reason, check] of SENSE_CHECKS) {
    const message = check(draft, context);
    if (message !== null) return { reason, message };
  }
  return null;
}

function unknownStage({ stage, text }: ReadingDraft): string | null {
  if (stage !== null) return null;
  return `The stage "${text.stage}" is none of ${STAGES.join(", ")}; a profile can translate a site's own words.`;
}

function missingField(draft: ReadingDraft): string | null {
  const { text } = draft;
  for (const column of ["instrument", "checked_at", "speed_rpm"] as const) {
    if (text[column] === "") return `The field ${column} is empty.`;
  }
  if (draft.fullScaleRangeMPaS === null) {
    return "The field full_scale_range_mpas is empty, and the range does not follow from the registers: they lack the instrument's full-scale torque or the geometry's measures.";
  }
  if (draft.readingMPaS === null) {
    return "The field reading_mpas is empty, and there is no torque_percent to work it out from.";
  }
  return null;
}

function notANumber(draft: ReadingDraft, context: ReadingContext): string | null {
  if (areAllPositive(draft)) return null;
  for (const [column, field] of NUMBER_FIELDS) {
    const written = draft.text[column];
    if (written === "" || !Number.isNaN(draft[field])) continue;
    return `"${written}" in ${column} is not a number written with a decimal ${context.decimal === "." ? "point" : "comma"}.`;
  }
  return null;
}

function badTime({ text, checkedAtMs }: ReadingDraft, { times }: ReadingContext): string | null {
  if (Number.isNaN(checkedAtMs)) {
    return `"${text.checked_at}" in checked_at is not a time that exists${times.expectation("2026-03-31T08:15:00Z")}.`;
  }
  if (checkedAtMs < EARLIEST_MS)
    return `The check is dated ${text.checked_at}, before 1950: is the year right?`;
  return null;
}

function inTheFuture({ text, checkedAtMs }: ReadingDraft, { nowMs }: ReadingContext): string | null {
  if (checkedAtMs <= nowMs + CLOCKS_MAY_BE_AHEAD_MS) return null;
  return `The check is dated ${text.checked_at}, which is still to come: is the date right, and the clock that wrote it?`;
}

function negative(draft: ReadingDraft): string | null {
  if (areAllPositive(draft)) return null;
  for (const [column, field] of NUMBER_FIELDS) {
    if (column === "temperature_c") continue;
    const value = draft[field];
    if (value === null) continue;
    if (value < 0) return `${amount(value)} in ${column} is below zero.`;
    // An instrument may well read nothing; it cannot stand still, have no range, or be given no fluid.
    if (value === 0 && column !== "reading_mpas" && column !== "torque_percent") return `${column} is zero.`;
  }
  return null;
}

function overRange({ torquePercent, readingMPaS, fullScaleRangeMPaS }: ReadingDraft): string | null {
  if (torquePercent !== null && torquePercent > 100) {
    return `A torque of ${amount(torquePercent)} % is beyond full scale: the reading cannot be used at this speed.`;
  }
  if (readingMPaS! > fullScaleRangeMPaS! * (1 + ROUNDING)) {
    return `The reading ${amount(readingMPaS!)} mPa·s is beyond the full-scale range ${amount(fullScaleRangeMPaS!)} mPa·s: one of the two, or its unit, is wrong.`;
  }
  return null;
}

function unknownValue({ fluidValueMPaS, text }: ReadingDraft): string | null {
  if (fluidValueMPaS !== null) return null;
  if (text.fluid_lot === "")
    return "There is no certified value: both fluid_value_mpas and fluid_lot are empty.";
  return `There is no certified value: fluid_value_mpas is empty and the lot ${text.fluid_lot} is not registered with one.`;
}

function unitMixup(draft: ReadingDraft, context: ReadingContext): string | null {
  const { readingMPaS, fluidValueMPaS, fullScaleRangeMPaS, torquePercent, speedRpm, lot } = draft;
  const suspect = (what: string, value: number, expected: number) => {
    if (!isFactorOfThousand(value, expected)) return null;
    const cause = value < expected ? "entered in Pa·s?" : "1000 times too large: entered in another unit?";
    return `${what} ${amount(value)} where about ${amount(expected)} mPa·s is expected: ${cause}`;
  };
  const fromTorque = torquePercent === null ? 0 : (torquePercent * fullScaleRangeMPaS!) / 100;
  // Where the torque bears the reading out, the fluid's value is the odd one.
  const expectedValue = lot?.certifiedMPaS ?? (agrees(readingMPaS!, fromTorque) ? readingMPaS! : 0);
  const [own] = ownConstants(draft, context);
  return (
    suspect("The fluid's value is given as", fluidValueMPaS!, expectedValue) ??
    suspect("Reads", readingMPaS!, fluidValueMPaS!) ??
    suspect("Reads", readingMPaS!, fromTorque) ??
    suspect("The full-scale range is given as", fullScaleRangeMPaS!, own === undefined ? 0 : own / speedRpm!)
  );
}

function rangeDisagrees(draft: ReadingDraft, context: ReadingContext): string | null {
  const given = draft.fullScaleRangeMPaS! * draft.speedRpm!;
  const own = ownConstants(draft, context);
  if (own.length === 0) return null;
  if (own.some((constant) => Math.abs(given / constant - 1) <= RANGE_MAY_DIFFER + ROUNDING)) return null;
  const expected = amount(own[0]! / draft.speedRpm!);
  return `The full-scale range is given as ${amount(draft.fullScaleRangeMPaS!)} mPa·s at ${amount(draft.speedRpm!)} min⁻¹, where this instrument${draft.text.geometry === "" ? "" : ` with ${draft.text.geometry}`} has ${expected} mPa·s: wrong speed, geometry or range?`;
}

function readingDisagrees(draft: ReadingDraft): string | null {
  const { torquePercent, readingMPaS, fullScaleRangeMPaS } = draft;
  if (torquePercent === null || draft.readingFromTorque) return null;
  const fromReading = (100 * readingMPaS!) / fullScaleRangeMPaS!;
  if (Math.abs(fromReading - torquePercent) <= TORQUE_MAY_DIFFER_PERCENT + ROUNDING) return null;
  return `The reading ${amount(readingMPaS!)} mPa·s is ${amount(fromReading)} % of the full-scale range, but the torque is given as ${amount(torquePercent)} %: a typing error in one of them?`;
}

/** What speed x range is known to be for the unit: by the registered measures, else by its checks. */
function ownConstants(
  { registeredConstant, text }: ReadingDraft,
  { ranges }: ReadingContext,
): readonly number[] {
  return registeredConstant === null ? ranges.known(text.instrument, text.geometry) : [registeredConstant];
}

function agrees(a: number, b: number): boolean {
  return Math.abs(a - b) <= ROUGHLY * Math.abs(b);
}

function isFactorOfThousand(value: number, expected: number): boolean {
  if (value <= 0 || expected <= 0) return false;
  const ratio = value / expected;
  // Within a factor of a hundred there is no need of a logarithm.
  if (ratio > 0.01 && ratio < 100) return false;
  return Math.abs(Math.abs(Math.log10(ratio)) - 3) <= THOUSAND_WITHIN;
}
