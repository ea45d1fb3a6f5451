import { BAND_NAMES, type BandName, type UnitForecast, type UnitState } from "../../analysis/index.ts";

/** One band of a unit on its way through tolerance. All values are errors over tolerance. */
export interface Lane {
  readonly band: BandName;
  readonly now: number;
  readonly atService: number;
  /** The middle 90 % of what is to be expected at the service. */
  readonly low: number;
  readonly high: number;
  readonly checks: number;
  /** How the band is drawn: never worse than the unit's own state. */
  readonly state: UnitState;
}

/** 5 and 95 % of a normal distribution. */
const Z_90 = 1.645;
const BY_SEVERITY: readonly UnitState[] = ["steady", "leaning", "heading-out", "out"];

/** The three bands of a unit, low to high; null where it cannot be judged. */
export function lanesOf(forecast: UnitForecast): Lane[] | null {
  const { bands, state } = forecast;
  if (bands === null) return null;
  return BAND_NAMES.map((band) => {
    const { now, atService, atServiceSd, checks } = bands[band];
    const low = atService - Z_90 * atServiceSd;
    const high = atService + Z_90 * atServiceSd;
    const own = band === forecast.band ? state : bandState(now, atService, low, high);
    return { band, now, atService, low, high, checks, state: milder(own, state) };
  });
}

function bandState(now: number, atService: number, low: number, high: number): UnitState {
  if (Math.abs(now) > 1) return "out";
  if (Math.abs(atService) > 1) return "heading-out";
  return low < -1 || high > 1 ? "leaning" : "steady";
}

function milder(a: UnitState, b: UnitState): UnitState {
  return BY_SEVERITY.indexOf(a) <= BY_SEVERITY.indexOf(b) ? a : b;
}
