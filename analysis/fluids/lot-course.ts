import { estimatesOf, type FleetFigures } from "../drift/figures.ts";
import { ageingKey, lotKey } from "../drift/shared-design.ts";
import { DAYS_A_YEAR } from "../drift/time.ts";

/** How far a lot is from its certificate as it ages. Unit of the errors: % of the certified value. */
export interface LotCourse {
  readonly firstDay: number;
  readonly lastDay: number;
  /** @param day any day; before the first use the error is that of the first. */
  at(day: number): { readonly error: number; readonly sd: number };
}

/** A lot's error on some days of its use. All arrays have the length of `day`. */
export interface LotPath {
  readonly day: readonly number[];
  readonly error: readonly number[];
  readonly sd: readonly number[];
}

/** More points would not be seen: a course bends at three days at most. */
const PATH_POINTS = 33;

/**
 * A lot's error over its age, by what was learnt from the fleet: its level and, where it ages, a rate that changes at
 * its knees, with their joint uncertainty.
 *
 * @returns null for a lot that the figures do not know.
 */
export function lotCourse(figures: FleetFigures, fluidLot: string): LotCourse | null {
  const course = figures.shared.courses.find((candidate) => candidate.fluidLot === fluidLot);
  if (course === undefined) return null;
  const parts = [
    { key: lotKey(fluidLot), factor: () => 1 },
    ...course.kneeDays.map((knee) => ({
      key: ageingKey(fluidLot, knee),
      factor: (age: number) => Math.max(0, age - knee) / DAYS_A_YEAR,
    })),
  ];
  const effects = parts.map(({ key }) => figures.shared.keys.indexOf(key));
  const estimates = estimatesOf(figures);
  const covariance = estimates.covariance(effects);
  const n = parts.length;
  return {
    firstDay: course.firstDay,
    lastDay: course.lastDay,
    at(day) {
      const factor = parts.map((part) => part.factor(day - course.firstDay));
      let error = 0;
      let variance = 0;
      for (let i = 0; i < n; i++) {
        error += factor[i]! * estimates.value[effects[i]!]!;
        for (let j = 0; j < n; j++) variance += factor[i]! * factor[j]! * covariance[i * n + j]!;
      }
      return { error, sd: Math.sqrt(Math.max(0, variance)) };
    },
  };
}

/** The course from first to last use, evenly. One point where the lot was used on one day only. */
export function lotPath(course: LotCourse): LotPath {
  const { firstDay, lastDay } = course;
  const points = lastDay > firstDay ? PATH_POINTS : 1;
  const day = Array.from({ length: points }, (_, i) =>
    points === 1 ? firstDay : firstDay + ((lastDay - firstDay) * i) / (points - 1),
  );
  const values = day.map((on) => course.at(on));
  return { day, error: values.map(({ error }) => error), sd: values.map(({ sd }) => sd) };
}
