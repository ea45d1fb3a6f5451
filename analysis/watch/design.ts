import {
  type AlarmBudget,
  alarmBudget,
  dispersionInterval,
  ewmaLimit,
  individualsLimit,
  twoInARowLimit,
} from "../control-charts/alarm-limits.ts";

/** Weight of the newest check on the level chart: good for shifts of 0.5 to 2 sigma, and the usual choice. */
export const LEVEL_WEIGHT = 0.2;

/** A check further off counts as this far on the scatter chart: one or two stray readings do not fill it. Unit: sigma. */
export const SCATTER_CLIP = 3;

/**
 * The run length of a scatter chart is that of independent values whose scatter is known. Those of a life share the
 * error of its scatter, allowed for in the scores: false alarms come to fewer units, and less often. By simulation of
 * units that stay where they are, this share of them is left; the limits make up for it.
 */
const SCATTER_SHARE = 0.35;

/**
 * A step chart runs so many times as long as the others before a false alarm: a step as large as the tolerance is many
 * sigma, and one that never was sends people looking for an event. What the step charts leave, the level charts spend.
 */
const STEP_SHARE = 40;

/**
 * Readings of a check that throw the quantity off where one of them is stray: the bend follows each of the three, a
 * band its own if that is far off. As seen on simulated fleets whose outliers were flagged when they were taken in.
 */
const STRAYS_FELT = [1, 1, 2.5, 0.8, 0.8, 0.8];

/** Share of a quantity's checks that a stray reading throws off; to one digit, as limits shall not move with every check. */
export function strayShareOf(q: number, perReading: number): number {
  return Number((STRAYS_FELT[q]! * perReading).toPrecision(1));
}

/** What the level charts may raise, by check and quantity: all of the budget that scatter and step charts leave. */
export function levelSignalsPerCheck(runLength: number): number {
  return (2 - 1 / STEP_SHARE) / runLength;
}

/** Limits of the three charts for one run length. */
export interface ChartDesign {
  readonly runLength: number;
  /** Unit: standard deviations of the weighted mean. */
  readonly level: number;
  /** A check further off counts as this far on the level chart, so that a stray one cannot signal alone. Unit: sigma. */
  readonly clip: number;
  /** For one check that is off in all three bands. Unit: sigma. */
  readonly check: number;
  /** For each of two checks in a row, and for both together. Unit: sigma. */
  readonly step: number;
  readonly pair: number;
  /** Unit: squared sigma. */
  readonly scatter: number;
}

/**
 * No chart is made to alarm more often than once in a hundred checks, however few the units are: one unit that is
 * seldom checked would otherwise spend an alarm a month on itself.
 */
export const LEAST_RUN_LENGTH = 100;

const designs = new Map<string, ChartDesign>();

/** A design with what it was solved for, to be handed to another thread. */
export interface SolvedDesign {
  readonly strayShare: number;
  readonly design: ChartDesign;
}

/** Takes over what another thread has solved. */
export function knowDesigns(solved: readonly SolvedDesign[]): void {
  for (const { strayShare, design } of solved) designs.set(keyOf(design.runLength, strayShare), design);
}

function keyOf(runLength: number, strayShare: number): string {
  return `${runLength} ${strayShare}`;
}

/**
 * Limits for a run length.
 *
 * @param strayShare Share of checks that a stray reading throws off: in control, and so no reason to signal.
 * @param levelFactor See {@link levelFactor}.
 */
export function chartDesign(runLength: number, strayShare = 0, levelFactor = 1): ChartDesign {
  const design = solvedDesign(runLength, strayShare);
  return levelFactor === 1 ? design : { ...design, level: levelFactor * design.clip };
}

/** Kept, since each takes a tenth of a second to solve, and units ask for the same few. */
function solvedDesign(runLength: number, strayShare: number): ChartDesign {
  const key = keyOf(runLength, strayShare);
  let design = designs.get(key);
  if (design === undefined) {
    const clip = ewmaLimit(LEVEL_WEIGHT, runLength);
    design = {
      runLength,
      level: clip,
      clip,
      // Next to no check this far off by chance is so in three bands; false alarms are two in a row.
      check: individualsLimit(runLength),
      step: twoInARowLimit(STEP_SHARE * runLength, strayShare),
      pair: individualsLimit(STEP_SHARE * runLength),
      scatter: dispersionInterval(
        Math.max(LEAST_RUN_LENGTH, SCATTER_SHARE * runLength),
        SCATTER_CLIP,
        strayShare,
      ),
    };
    designs.set(key, design);
  }
  return design;
}

/**
 * The run length for a fleet as it is really checked, to two digits: limits shall not move with every check.
 *
 * @param streams Charts that got a value in the last year.
 * @param valuesPerMonth What all of them got, a month.
 * @returns null where nothing is charted.
 */
export function fleetBudget(
  units: number,
  streams: number,
  valuesPerMonth: number,
  perMonthPer100Units: number,
): AlarmBudget | null {
  if (!(streams > 0 && valuesPerMonth > 0)) return null;
  const asked = alarmBudget(units, streams / units, valuesPerMonth / streams, perMonthPer100Units);
  const runLength = Number(Math.max(LEAST_RUN_LENGTH, asked.runLength).toPrecision(2));
  return {
    falseAlarmsPerMonth: Math.min(asked.falseAlarmsPerMonth, valuesPerMonth / LEAST_RUN_LENGTH),
    streams,
    runLength,
  };
}
