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

/** The same with the lot's name. */
export interface LotUse {
  readonly fluidLot: string;
  readonly unit: LotUnit;
}

/**
 * Every lot over its age, and every unit that was checked with it.
 *
 * @remarks Only the units that the figures were learnt from are asked what they say: one pass over their readings.
 * @returns In the order of the fleet's list; lots that no usable check used are left out. Of a lot that the figures do
 *   not know, the path is what lots are usually off by.
 */
export function lotsInFull(fleet: FleetChecks, figures: FleetFigures): LotInFull[] {
  const uses = lotUses(fleet, figures);
  return lotsFromUses(
    figures,
    fleet.lots.map(({ fluidLot }) => fluidLot),
    uses,
  );
}

/** What each unit of a fleet did with each lot, and says of it; unit by unit, so that it may be asked in parts. */
export function lotUses(fleet: FleetChecks, figures: FleetFigures): LotUse[] {
  const context = forecastContext(fleet, figures);
  const courses = fleet.lots.map(({ fluidLot }) => lotCourse(figures, fluidLot));
  return fleet.units.flatMap((unit): LotUse[] => {
    if (unit.readings.count === 0) return [];
    const words = Object.hasOwn(figures.repeatability, unit.instrument) ? wordsOf(context, unit) : null;
    return [...unitUse(unit, fleet, courses)].map(([lot, used]) => {
      const { fluidLot } = fleet.lots[lot]!;
      const word = words?.get(fluidLot);
      const says = word === undefined ? null : saidOn(courses[lot]!, used.meanDay, word);
      return { fluidLot, unit: { instrument: unit.instrument, site: unit.site, ...used, says } };
    });
  });
}

/** The lots of these names from what all units did with them. */
export function lotsFromUses(
  figures: FleetFigures,
  fluidLots: readonly string[],
  uses: readonly LotUse[],
): LotInFull[] {
  const usesOf = Map.groupBy(uses, ({ fluidLot }) => fluidLot);
  const unknown = { error: 0, sd: Math.sqrt(figures.shared.newVariance.lot ?? 0) };
  return fluidLots.flatMap((fluidLot): LotInFull[] => {
    const units = (usesOf.get(fluidLot) ?? []).map(({ unit }) => unit).sort(bySite);
    if (units.length === 0) return [];
    const course = lotCourse(figures, fluidLot) ?? {
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
