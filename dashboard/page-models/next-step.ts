import type { UnitForecast } from "../../analysis/index.ts";

/** The one thing to do next about a unit; the words for each are in wording/next-steps.ts. */
export type NextStep =
  | "swap-accessory"
  | "zero-in-air"
  | "approach-both-ways"
  | "second-fluid"
  | "look-into-step"
  | "record-scatter"
  | "first-check"
  | "check-again"
  | "make-overdue-check"
  | "overdue-service"
  | "usual-checks";

/** A low probability does not extend a due date. */
export function isServiceOverdue({ nextServiceDueDay }: UnitForecast, asOfDay: number): boolean {
  return nextServiceDueDay !== null && nextServiceDueDay < asOfDay;
}

/** The test that tells most about each pattern (methods: fault signatures, next step). */
const STEP_FOR_PATTERN = {
  span: "swap-accessory",
  zero: "zero-in-air",
  friction: "approach-both-ways",
  curvature: "second-fluid",
  step: "look-into-step",
  scatter: "record-scatter",
  none: "check-again",
} as const;

/**
 * What to do next: a service whose date is past goes before all else; then nothing beyond the usual for a steady unit,
 * and the test that its pattern asks for otherwise.
 */
export function nextStep(forecast: UnitForecast, asOfDay: number): NextStep {
  if (isServiceOverdue(forecast, asOfDay)) return "overdue-service";
  const { state, overdueCheck, pattern, basis } = forecast;
  if (state === "steady" || state === "unjudged") return overdueCheck ? "make-overdue-check" : "usual-checks";
  if (basis?.checksUsed === 0) return "first-check";
  return STEP_FOR_PATTERN[pattern.name];
}
