import {
  AnalysisError,
  compareLinearity,
  fitLinearity,
  type Life,
  type LinearityFit,
  type LinearityReadings,
  linearityBand,
  linearityReadings,
  STAGES,
  secondFluidTest,
  type UnitReadings,
  USE,
} from "../../analysis/index.ts";
import { lazily } from "../lazily.ts";
import type { LinearityView, UnitReading, UnitView } from "./views.ts";

/** Without an as-left check, checks this soon after the service stand for it. Unit: days. */
const SOON_AFTER_SERVICE = 14;

const [AS_FOUND, AS_LEFT] = [STAGES.indexOf("as_found"), STAGES.indexOf("as_left")];

/** Checks that "now" is taken from. */
const LATEST_CHECKS = 8;

/**
 * Error along the torque: over the present life, as the service left it, lately, life by life and fluid by fluid; each
 * worked out when somebody asks for it, as a line costs some milliseconds and a page shows two of them.
 *
 * @param speedRpm Of each of the unit's readings.
 */
export function linearityViews(
  readings: UnitReadings,
  lives: readonly Life[],
  lots: readonly string[],
  speedRpm: ArrayLike<number>,
): UnitView["linearity"] {
  const life = lives.at(-1)!;
  const left = asLeftReadings(readings, life);
  const fits = lazily({
    asLeft: () => fitOf(readings, left),
    latest: () => fitOf(readings, latestReadings(readings, life.readings, left)),
  });
  const earlier = lives.slice(0, -1);
  const views: UnitView["linearity"] = lazily<UnitView["linearity"]>({
    life: () => fitOf(readings, life.readings)?.view ?? null,
    asFound: () => fitOf(readings, asFoundReadings(readings, earlier.at(-1)))?.view ?? null,
    asLeft: () => fits.asLeft?.view ?? null,
    latest: () => fits.latest?.view ?? null,
    change: () => fits.asLeft && fits.latest && compareLinearity(fits.asLeft.fit, fits.latest.fit),
    lives: () =>
      [...earlier.map((one) => fitOf(readings, one.readings)?.view), views.life].flatMap(
        (view) => view ?? [],
      ),
    fluids: () => fluidViews(readings, life, lots),
    secondFluid: () => orNull(() => secondFluidTest(fluidReadings(readings, life.readings, lots, speedRpm))),
  });
  return views;
}

function fluidViews(
  readings: UnitReadings,
  life: Life,
  lots: readonly string[],
): UnitView["linearity"]["fluids"] {
  const byLot = Map.groupBy(life.readings, (i) => lots[readings.lot[i]!]);
  return [...byLot].flatMap(([fluidLot, own]) => {
    const fit = fluidLot === undefined ? null : fitOf(readings, Int32Array.from(own));
    return fit === null ? [] : [{ fluidLot: fluidLot!, ...fit.view }];
  });
}

/** Of the last check of the life before. */
function asFoundReadings(readings: UnitReadings, before: Life | undefined): Int32Array {
  const found = before?.readings.filter((i) => readings.stage[i] === AS_FOUND) ?? new Int32Array(0);
  const last = found.at(-1);
  return last === undefined ? found : found.filter((i) => readings.check[i] === readings.check[last]);
}

function asLeftReadings(readings: UnitReadings, life: Life): Int32Array {
  const asLeft = life.readings.filter((i) => readings.stage[i] === AS_LEFT);
  if (asLeft.length > 0) return asLeft;
  const { fromDay } = life;
  if (fromDay === null) return asLeft;
  return life.readings.filter((i) => readings.day[i]! <= fromDay + 1 + SOON_AFTER_SERVICE);
}

function latestReadings(readings: UnitReadings, life: Int32Array, asLeft: Int32Array): Int32Array {
  const before = new Set(Array.from(asLeft, (i) => readings.check[i]!));
  const after = life.filter((i) => readings.use[i] !== USE.shownOnly && !before.has(readings.check[i]!));
  const checks = [...new Set(Array.from(after, (i) => readings.check[i]!))].slice(-LATEST_CHECKS);
  return after.filter((i) => readings.check[i]! >= checks[0]!);
}

function fluidReadings(
  readings: UnitReadings,
  life: Int32Array,
  lots: readonly string[],
  speedRpm: ArrayLike<number>,
) {
  const used = life.filter((i) => readings.use[i] !== USE.shownOnly);
  return {
    ...linearityReadings(readings, used),
    fluidLot: Array.from(used, (i) => lots[readings.lot[i]!] ?? null),
    speedRpm: Array.from(used, (i) => speedRpm[i]!),
  };
}

/** A line through readings, for the analysis and for the pages. */
export interface LinearityFound {
  readonly fit: LinearityFit;
  readonly view: LinearityView;
}

/** Of any readings of a unit, lot and bath taken away where it is judged; null where they carry no line. */
export function linearityOfReadings(readings: readonly UnitReading[]): LinearityFound | null {
  const columns = {
    day: readings.map(({ day }) => day),
    check: readings.map(({ check }) => check),
    torque: readings.map(({ torque }) => torque),
    error: readings.map((reading) => reading.errorWithoutSharedCauses ?? reading.error),
    use: readings.map(({ use }) => use),
  };
  return fitOf(columns, Int32Array.from(readings.keys()));
}

/** null where the readings carry no line: too few, or all at one torque. */
function fitOf(
  readings: Parameters<typeof linearityReadings>[0] & { readonly day: ArrayLike<number> },
  indices: Int32Array,
): LinearityFound | null {
  const used = linearityReadings(readings, indices);
  if (used.error.length === 0) return null;
  return orNull(() => {
    const fit = fitLinearity(used);
    const grid = torqueGrid(used);
    const whole = linearityBand(fit, grid, "simultaneous");
    const view = {
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
      jointP: fit.joint.p,
      lackOfFitP: fit.lackOfFit?.p ?? null,
      repeatability: fit.repeatability,
      sharedProportional: fit.sharedProportional,
      curve: { ...linearityBand(fit, grid), wholeLower: whole.lower, wholeUpper: whole.upper },
    };
    return { fit, view };
  });
}

/** What the analysis cannot say of these readings is null. */
function orNull<T>(ask: () => T): T | null {
  try {
    return ask();
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
