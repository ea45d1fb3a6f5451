import type { BandPath } from "../../analysis/index.ts";
import type { LifePoint } from "./lives.ts";

/**
 * Readings as few enough dots to be told apart: where there are more than `most`, those of one stretch of time and
 * one life become one dot at their means. Readings that were not used stay as they are.
 *
 * @param points Sorted by time.
 * @returns Sorted by time; the very same points where they are few enough.
 */
export function condensePoints(points: readonly LifePoint[], most: number): readonly LifePoint[] {
  const used = points.filter((point) => point.used);
  const [first, last] = [used[0], used.at(-1)];
  if (used.length <= most || first === undefined || last === undefined) return points;
  const stretch = (last.day - first.day) / most;
  const groups = Map.groupBy(
    used,
    ({ day, presentLife }) => `${presentLife} ${Math.floor((day - first.day) / stretch)}`,
  );
  const dots = [...groups.values()].map(meanOf);
  return [...dots, ...points.filter((point) => !point.used)].sort((a, b) => a.day - b.day);
}

/** A path with at most about `most` days: evenly chosen, both ends kept. */
export function condensePath(path: BandPath, most: number): BandPath {
  const step = Math.ceil(path.day.length / most);
  if (step <= 1) return path;
  const last = path.day.length - 1;
  const thin = (values: readonly number[]): number[] =>
    values.filter((_, i) => i === last || (i % step === 0 && last - i >= step / 2));
  return {
    day: thin(path.day),
    p05: thin(path.p05),
    p25: thin(path.p25),
    p50: thin(path.p50),
    p75: thin(path.p75),
    p95: thin(path.p95),
  };
}

function meanOf(points: readonly LifePoint[]): LifePoint {
  const mean = (values: readonly number[]): number => values.reduce((sum, v) => sum + v, 0) / values.length;
  const own = points.flatMap((point) => point.own ?? []);
  return {
    ...points[0]!,
    day: mean(points.map((point) => point.day)),
    asRead: mean(points.map((point) => point.asRead)),
    own: own.length === points.length ? mean(own) : null,
    readings: points.length,
  };
}
