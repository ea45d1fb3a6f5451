import type { Flag, FluidRecord, ReadingRecord } from "../store/store.ts";

type FlaggedValues = Pick<
  ReadingRecord,
  "checkedAtMs" | "fluidValueMPaS" | "fullScaleRangeMPaS" | "temperatureC" | "fluidLot"
>;

/** What a check's temperature is held against where the lot's certificate names none. Unit: °C. */
const USUAL_TEMPERATURE_C = 25;
const TEMPERATURE_MAY_DIFFER_K = 0.2;
const WEAKEST_TORQUE_PERCENT = 10;
const DAY_MS = 86_400_000;
/** Worked out once for each lot: thousands of readings are held against it. */
const GOOD_UNTIL_MS = new WeakMap<FluidRecord, number>();
/** Room for the rounding of binary fractions at a limit. */
const ROUNDING = 1e-9;

/** The flags that a reading and its lot give; `outlier` needs the whole check, see `outliersOf`. */
export function flagReading(reading: FlaggedValues, lot: FluidRecord | undefined): Flag[] {
  const flags: Flag[] = [];
  if (isTemperatureOff(reading.temperatureC, lot)) flags.push("temperature-off");
  if ((100 * reading.fluidValueMPaS) / reading.fullScaleRangeMPaS < WEAKEST_TORQUE_PERCENT - ROUNDING) {
    flags.push("torque-low");
  }
  if (isExpired(reading.checkedAtMs, lot)) flags.push("lot-expired");
  if (reading.fluidLot !== null && lot === undefined) flags.push("lot-unknown");
  if (looksNominal(reading.fluidValueMPaS, lot)) flags.push("looks-nominal");
  return flags;
}

function isTemperatureOff(temperatureC: number | null, lot: FluidRecord | undefined): boolean {
  if (temperatureC === null) return false;
  const reference = lot?.referenceTemperatureC ?? USUAL_TEMPERATURE_C;
  return Math.abs(temperatureC - reference) > TEMPERATURE_MAY_DIFFER_K + ROUNDING;
}

/** The day of expiry itself is still good. */
function isExpired(checkedAtMs: number, lot: FluidRecord | undefined): boolean {
  if (lot === undefined || lot.expiresOn === null) return false;
  let goodUntilMs = GOOD_UNTIL_MS.get(lot);
  if (goodUntilMs === undefined) {
    goodUntilMs = Date.parse(lot.expiresOn) + DAY_MS;
    GOOD_UNTIL_MS.set(lot, goodUntilMs);
  }
  return checkedAtMs >= goodUntilMs;
}

function looksNominal(valueMPaS: number, lot: FluidRecord | undefined): boolean {
  if (lot === undefined || lot.nominalMPaS === null || lot.certifiedMPaS === null) return false;
  return isEqual(valueMPaS, lot.nominalMPaS) && !isEqual(lot.certifiedMPaS, lot.nominalMPaS);
}

function isEqual(a: number, b: number): boolean {
  return Math.abs(a - b) <= ROUNDING * Math.max(a, b);
}
