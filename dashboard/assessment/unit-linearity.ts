import {
  AnalysisError,
  fitLinearity,
  type Life,
  type LinearityReadings,
  linearityBand,
  linearityReadings,
  STAGES,
  type UnitReadings,
} from "../../analysis/index.ts";
import type { LinearityView } from "./views.ts";

/** Without an as-left check, checks this soon after the service stand for it. Unit: days. */
const SOON_AFTER_SERVICE = 14;

const AS_LEFT = STAGES.indexOf("as_left");

/** Error along the torque: over the whole present life, and as the service left it. */
export function linearityViews(
  readings: UnitReadings,
  life: Life,
): { life: LinearityView | null; asLeft: LinearityView | null } {
  return {
    life: linearityView(readings, life.readings),
    asLeft: linearityView(readings, asLeftReadings(readings, life)),
  };
}

function asLeftReadings(readings: UnitReadings, life: Life): Int32Array {
  const asLeft = life.readings.filter((i) => readings.stage[i] === AS_LEFT);
  if (asLeft.length > 0) return asLeft;
  const { fromDay } = life;
  if (fromDay === null) return asLeft;
  return life.readings.filter((i) => readings.day[i]! <= fromDay + 1 + SOON_AFTER_SERVICE);
}

/** null where the readings carry no line: too few, or all at one torque. */
function linearityView(readings: UnitReadings, indices: Int32Array): LinearityView | null {
  const used = linearityReadings(readings, indices);
  if (used.error.length === 0) return null;
  try {
    const fit = fitLinearity(used);
    return {
      fromDay: readings.day[indices[0]!]!,
      toDay: readings.day[indices.at(-1)!]!,
      checks: fit.checks,
      zero: fit.zero.value,
      zeroSe: fit.zero.se,
      zeroP: fit.zero.p,
      span: fit.span.value,
      spanSe: fit.span.se,
      spanP: fit.span.p,
      nonlinearity: fit.nonlinearity?.value ?? null,
      nonlinearitySe: fit.nonlinearity?.se ?? null,
      nonlinearityP: fit.nonlinearity?.p ?? null,
      curve: linearityBand(fit, torqueGrid(used)),
    };
  } catch (refusal) {
    if (refusal instanceof AnalysisError) return null;
    throw refusal;
  }
}

function torqueGrid({ torque }: LinearityReadings): number[] {
  const sorted = Float64Array.from(torque).sort();
  const [from, to] = [sorted[0]!, sorted.at(-1)!];
  const steps = 20;
  return Array.from({ length: steps + 1 }, (_, i) => from + ((to - from) * i) / steps);
}
