import { bandOf } from "../band.ts";
import { type FleetChecks, type UnitChecks, USE } from "../fleet.ts";
import { cutLives } from "../life.ts";
import type { LotCourse } from "./lot-course.ts";

/** One unit's checks with one lot. Days: the first, the last, and the mean of them. */
export interface UnitUse {
  readonly checks: number;
  readonly firstDay: number;
  readonly lastDay: number;
  readonly meanDay: number;
  /** Checks with at least one reading beyond tolerance, as read. */
  readonly failed: number;
  /** Those of them that pass once the lot's error is taken away. */
  readonly failedByLot: number;
  /** Checks that passed as read, and fail once the lot's error is taken away. */
  readonly passedByLot: number;
  /** Whether it was checked with this and with another lot within {@link SIDE_BY_SIDE_DAYS}, in one life. */
  readonly sideBySide: boolean;
}

/** Two checks of one unit as near as this hardly hold any drift between them, so that they compare their lots. */
export const SIDE_BY_SIDE_DAYS = 31;

/**
 * A unit's use of each lot that it was checked with.
 *
 * @param courses By number of the lot; null: nothing is known of its error, so that none is taken away.
 * @returns By number of the lot. Only checks with a usable reading count.
 */
export function unitUse(
  unit: UnitChecks,
  fleet: FleetChecks,
  courses: readonly (LotCourse | null)[],
): ReadonlyMap<number, UnitUse> {
  const { readings } = unit;
  const checksOf = new Map<number, JudgedCheck[]>();
  for (let from = 0; from < readings.count; ) {
    let to = from;
    while (to < readings.count && readings.check[to] === readings.check[from]) to++;
    const lot = readings.lot[from]!;
    const day = readings.day[from]!;
    const check = judgeCheck(unit, from, to, courses[lot]?.at(day).error ?? 0);
    if (fleet.lots[lot] !== undefined && check !== null) {
      const checks = checksOf.get(lot);
      if (checks === undefined) checksOf.set(lot, [check]);
      else checks.push(check);
    }
    from = to;
  }
  const sideBySide = lotsSideBySide(unit);
  return new Map([...checksOf].map(([lot, checks]) => [lot, tally(checks, sideBySide.has(lot))]));
}

interface JudgedCheck {
  readonly day: number;
  readonly fails: boolean;
  readonly failsWithoutLot: boolean;
}

function tally(checks: readonly JudgedCheck[], sideBySide: boolean): UnitUse {
  const failed = checks.filter(({ fails }) => fails);
  return {
    checks: checks.length,
    firstDay: checks[0]!.day,
    lastDay: checks.at(-1)!.day,
    meanDay: checks.reduce((sum, { day }) => sum + day, 0) / checks.length,
    failed: failed.length,
    failedByLot: failed.filter(({ failsWithoutLot }) => !failsWithoutLot).length,
    passedByLot: checks.filter(({ fails, failsWithoutLot }) => !fails && failsWithoutLot).length,
    sideBySide,
  };
}

/** Readings `from` to `to` - 1 against their tolerance; null: none of them can be judged. */
function judgeCheck(
  { readings }: UnitChecks,
  from: number,
  to: number,
  lotError: number,
): JudgedCheck | null {
  const judged: number[] = [];
  for (let i = from; i < to; i++) {
    if (readings.use[i] !== USE.shownOnly && bandOf(readings.torque[i]!) !== null) judged.push(i);
  }
  if (judged.length === 0) return null;
  const beyond = (i: number, ofReading: number) =>
    Math.abs(readings.error[i]! - (ofReading * readings.torque[i]!) / 100) > readings.tolerance[i]!;
  return {
    day: readings.day[from]!,
    fails: judged.some((i) => beyond(i, 0)),
    failsWithoutLot: judged.some((i) => beyond(i, lotError)),
  };
}

function lotsSideBySide(unit: UnitChecks): ReadonlySet<number> {
  const { readings } = unit;
  const together = new Set<number>();
  for (const life of cutLives(readings, unit.services)) {
    // The latest check with each lot: a change of lot compares it with every lot in use shortly before.
    const lastDay = new Map<number, number>();
    for (const i of life.readings) {
      const lot = readings.lot[i]!;
      if (lot < 0 || readings.use[i] === USE.shownOnly) continue;
      const day = readings.day[i]!;
      for (const [other, on] of lastDay) {
        if (other === lot || day - on > SIDE_BY_SIDE_DAYS) continue;
        together.add(lot);
        together.add(other);
      }
      lastDay.set(lot, day);
    }
  }
  return together;
}
