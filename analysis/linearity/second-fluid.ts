import { compareLinearity } from "./compare.ts";
import type { Estimate } from "./estimate.ts";
import { fitLinearity, type LinearityReadings } from "./pooled.ts";

/** Readings that may come from several fluids, as columns of equal length. */
export interface FluidReadings extends LinearityReadings {
  readonly fluidLot: readonly (string | null)[];
  /** Unit: min^-1. */
  readonly speedRpm: ArrayLike<number>;
}

/** A bend that is seen with one fluid, held against another fluid that reaches the same torques at other speeds. */
export interface SecondFluid {
  readonly lots: readonly [string, string];
  /** Of each. Unit: % of full scale. */
  readonly bends: readonly [Estimate, Estimate];
  readonly difference: Estimate;
  /**
   * `same`: both bend, one way, and do not differ: it follows torque, so it is the spring. `differs`: it follows
   * speed or fluid. `undecided`: the checks do not suffice to say.
   */
  readonly outcome: "same" | "differs" | "undecided";
}

/** Speeds at one torque that differ by less than this factor say nothing of their own. */
const OTHER_SPEED = 1.25;

/** Level of every test. */
const SIGNIFICANT = 0.05;

/**
 * Tells a bending spring from an effect of the speed: with one fluid torque and speed go together, so only a second
 * one that reaches the same torques at other speeds can part them.
 *
 * @remarks The two lots with most checks that differ in speed are compared.
 * @returns null where no two lots reach the same torques at other speeds.
 * @throws {AnalysisError} as {@link fitLinearity}.
 */
export function secondFluidTest(readings: FluidReadings): SecondFluid | null {
  const rows = Map.groupBy(readings.fluidLot.keys(), (i) => readings.fluidLot[i] ?? null);
  const lots = [...rows]
    .flatMap(([lot, own]) => (lot === null ? [] : [{ lot, own, speed: speedAtFullScale(readings, own) }]))
    .sort((a, b) => b.own.length - a.own.length);
  for (const [k, first] of lots.entries()) {
    for (const second of lots.slice(k + 1)) {
      const ratio = first.speed / second.speed;
      if (Math.max(ratio, 1 / ratio) < OTHER_SPEED) continue;
      const fits = [
        fitLinearity(pick(readings, first.own)),
        fitLinearity(pick(readings, second.own)),
      ] as const;
      const [a, b] = [fits[0].nonlinearity, fits[1].nonlinearity];
      const difference = compareLinearity(fits[0], fits[1]).nonlinearity;
      if (!a || !b || !difference) continue;
      return {
        lots: [first.lot, second.lot],
        bends: [a, b],
        difference,
        outcome: outcomeOf(a, b, difference),
      };
    }
  }
  return null;
}

function outcomeOf(a: Estimate, b: Estimate, difference: Estimate): SecondFluid["outcome"] {
  if (difference.p < SIGNIFICANT) return "differs";
  const bothBend = a.p < SIGNIFICANT && b.p < SIGNIFICANT && Math.sign(a.value) === Math.sign(b.value);
  return bothBend ? "same" : "undecided";
}

/** Speed per torque, median over the readings: with one fluid the two are proportional. */
function speedAtFullScale({ torque, speedRpm }: FluidReadings, rows: readonly number[]): number {
  const speeds = rows.map((i) => (100 * speedRpm[i]!) / torque[i]!).sort((a, b) => a - b);
  return speeds[speeds.length >> 1]!;
}

function pick(readings: FluidReadings, rows: readonly number[]): LinearityReadings {
  const of = (column: ArrayLike<number>) => rows.map((i) => column[i]!);
  return {
    check: of(readings.check),
    torque: of(readings.torque),
    error: of(readings.error),
    ...(readings.weight && { weight: of(readings.weight) }),
  };
}
