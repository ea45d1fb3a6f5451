import { beyondCount, type Strip, type StripKind } from "../page-models/strips.ts";
import { date } from "./dates.ts";
import { counted, decimal } from "./numbers.ts";

/** What each chart is called: what it answers, with the trade's name where it has one. */
const TITLE: Readonly<Record<StripKind, string>> = {
  checks: "Each check",
  ranges: "From check to check",
  level: "Where it stands",
  step: "Against its forecast",
  sums: "Adding up",
  scatter: "How it spreads",
};

/** What each chart shows, and what a signal on it means. */
export const STRIP_MEANING: Readonly<Record<StripKind, string>> = {
  checks:
    "Single checks (individuals), lot and bath taken away, against three standard deviations of neighbouring checks.",
  ranges:
    "How far a check lies from the one before (moving range). Beyond the limit: two checks that do not belong together.",
  level:
    "Weighted mean of the checks (EWMA) against the baseline after service, in its own standard deviations; what is not known of the baseline widens them. A signal: the quantity has moved and stays moved.",
  step: "Each check minus what the checks before it led to expect (innovation), in standard deviations. Two in a row beyond the limit, or one that all bands show, is a signal: it moved at once.",
  sums: "Two cumulative sums (CUSUM), upwards above the middle, downwards below it. Small shifts add up until they pass the limit; the change is dated to where the sum last stood at nought.",
  scatter:
    "Running sum of squares. It grows while checks, or the readings within a check, agree less than they did; a signal: filling, temperature, operators, bearing or speed.",
};

export function stripTitle(kind: StripKind): string {
  return TITLE[kind];
}

/** "limit 3.5", "limits \u22120.32 and 0.05". */
export function stripLimit({ low, high, baselineToDay }: Strip): string {
  if (baselineToDay === null) return "no limits yet";
  const apart = Math.abs(high + low) > 1e-9 && low !== 0;
  return apart
    ? `limits ${decimal(low, 2)} and ${decimal(high, 2)}`
    : `limit ${low < 0 ? "\u00b1" : ""}${decimal(high, high < 1 ? 2 : 1)}`;
}

/** The chart in words. */
export function stripAloud(strip: Strip): string {
  const { kind, baselineToDay, toDay } = strip;
  const name = TITLE[kind];
  if (baselineToDay === null) return `${name}: too few checks for limits, the latest on ${date(toDay)}.`;
  const { beyond, of } = beyondCount(strip);
  if (of === 0) return `${name}: no check since the limits were fitted on ${date(baselineToDay)}.`;
  return beyond === 0
    ? `${name}: none of ${counted(of, "check")} beyond its limit.`
    : `${name}: ${beyond} of ${counted(of, "check")} beyond its limit.`;
}
