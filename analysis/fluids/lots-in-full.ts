import type { FleetFigures } from "../drift/figures.ts";
import { type ForecastContext, forecastContext } from "../drift/forecast-context.ts";
import { AnalysisError } from "../errors.ts";
import type { FleetChecks } from "../fleet.ts";
import { type LotCourse, type LotPath, lotCourse, lotPath } from "./lot-course.ts";
import { type UnitUse, unitUse } from "./lot-use.ts";
import { type UnitWord, unitWords } from "./unit-words.ts";

/** One unit that was checked with a lot: how often, what it says of the lot, what the lot does to its checks. */
export interface LotUnit extends UnitUse {
  readonly instrument: string;
  readonly site: string | null;
  /**
   * What it says of the lot's error on its mean day, by itself, and how much further that is from the certificate
   * than what all units together say. null: it was not asked (a large fleet is learnt from a sample), or cannot say.
   * Unit: % of the certified value.
   */
  readonly says: { readonly error: number; readonly sd: number; readonly beside: number } | null;
}

/** One lot in full. Errors in % of the certified value, days since 1970-01-01 UTC. */
export interface LotInFull {
  readonly fluidLot: string;
  /** Over its age, from first to last use. */
  readonly path: LotPath;
  /** By site, then instrument. */
  readonly units: readonly LotUnit[];
}

/**
 * Every lot over its age, and every unit that was checked with it.
 *
 * @remarks Only the units that the figures were learnt from are asked what they say: one pass over their readings.
 * @returns In the order of the fleet's list; lots that no usable check used are left out. Of a lot that the figures do
 *   not know, the path is what lots are usually off by.
 */
export function lotsInFull(fleet: FleetChecks, figures: FleetFigures): LotInFull[] {
  const context = forecastContext(fleet, figures);
  const courses = fleet.lots.map(({ fluidLot }) => lotCourse(figures, fluidLot));
  const unitsOf = fleet.lots.map((): LotUnit[] => []);
  for (const unit of fleet.units) {
    if (unit.readings.count === 0) continue;
    const use = unitUse(unit, fleet, courses);
    const words = Object.hasOwn(figures.repeatability, unit.instrument) ? wordsOf(context, unit) : null;
    for (const [lot, used] of use) {
      const word = words?.get(fleet.lots[lot]!.fluidLot);
      unitsOf[lot]!.push({
        instrument: unit.instrument,
        site: unit.site,
        ...used,
        says: word === undefined ? null : saidOn(courses[lot]!, used.meanDay, word),
      });
    }
  }
  const unknown = { error: 0, sd: Math.sqrt(figures.shared.newVariance.lot ?? 0) };
  return fleet.lots.flatMap(({ fluidLot }, lot): LotInFull[] => {
    const units = unitsOf[lot]!.sort(bySite);
    if (units.length === 0) return [];
    const course = courses[lot] ?? {
      firstDay: Math.min(...units.map(({ firstDay }) => firstDay)),
      lastDay: Math.max(...units.map(({ lastDay }) => lastDay)),
      at: () => unknown,
    };
    return [{ fluidLot, path: lotPath(course), units }];
  });
}

function wordsOf(
  context: ForecastContext,
  unit: FleetChecks["units"][number],
): ReadonlyMap<string, UnitWord> | null {
  try {
    return unitWords(context, unit);
  } catch (error) {
    // A unit that cannot be judged says nothing; anything else is a defect and is not to be hidden.
    if (error instanceof AnalysisError) return null;
    throw error;
  }
}

function saidOn(course: LotCourse | null, day: number, { beside, sd }: UnitWord): LotUnit["says"] {
  return course && { error: course.at(day).error + beside, sd, beside };
}

function bySite(a: LotUnit, b: LotUnit): number {
  const [siteA, siteB] = [a.site ?? "\uffff", b.site ?? "\uffff"];
  if (siteA !== siteB) return siteA < siteB ? -1 : 1;
  return a.instrument < b.instrument ? -1 : 1;
}
