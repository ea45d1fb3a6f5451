import { bandOf } from "./band.ts";
import { type FleetChecks, type UnitChecks, USE } from "./fleet.ts";

/** How far back checks are looked at. Unit: days. */
const LOOK_BACK_DAYS = 182;

/** Fewer differences than this say nothing of a site. */
const FEWEST_DIFFERENCES = 10;

/** How well a site's checks agree with the check before. */
export interface SiteScatter {
  /** Standard deviation of a check's mean error. Unit: % of full scale. */
  readonly percentFs: number;
  readonly differences: number;
}

/**
 * Standard deviation of single values from differences between neighbours.
 *
 * @remarks A slow drift adds next to nothing: each difference holds only the little that a unit moved meanwhile.
 *
 * Source: mean square successive difference, von Neumann, Annals of Mathematical Statistics 12 (1941) 367 (from
 * general knowledge): the expected square of a difference is twice the variance.
 *
 * @returns null for no difference.
 * @example
 * neighbourScatter([2, -1, 2]); // 1.2247
 */
export function neighbourScatter(differences: readonly number[]): number | null {
  if (differences.length === 0) return null;
  return Math.sqrt(differences.reduce((sum, d) => sum + d * d, 0) / (2 * differences.length));
}

/**
 * Scatter between a unit's successive checks, over the last half year, by site.
 *
 * @remarks Only checks with the same lot and the same bands are held beside each other, and none across a service.
 * Sites with fewer than ten differences are left out.
 */
export function siteScatter(fleet: FleetChecks): Map<string, SiteScatter> {
  const bySite = new Map<string, number[]>();
  for (const unit of fleet.units) {
    if (unit.site === null) continue;
    const known = bySite.get(unit.site) ?? [];
    known.push(...differencesOf(unit, fleet.asOfDay + 1 - LOOK_BACK_DAYS));
    bySite.set(unit.site, known);
  }
  return new Map(
    [...bySite].flatMap(([site, differences]) => {
      const percentFs = neighbourScatter(differences);
      if (percentFs === null || differences.length < FEWEST_DIFFERENCES) return [];
      return [[site, { percentFs, differences: differences.length }] as const];
    }),
  );
}

function differencesOf({ readings, services }: UnitChecks, fromDay: number): number[] {
  const checks = new Map<number, { day: number; sum: number; count: number; alike: string }>();
  for (let i = 0; i < readings.count; i++) {
    const band = bandOf(readings.torque[i]!);
    if (readings.day[i]! < fromDay || readings.use[i] !== USE.full || band === null) continue;
    const check = checks.get(readings.check[i]!);
    if (check === undefined) {
      checks.set(readings.check[i]!, {
        day: readings.day[i]!,
        sum: readings.error[i]!,
        count: 1,
        alike: `${readings.lot[i]} ${band}`,
      });
    } else {
      check.sum += readings.error[i]!;
      check.count++;
      check.alike += ` ${band}`;
    }
  }
  const inOrder = [...checks.values()];
  return inOrder.slice(1).flatMap((check, i) => {
    const before = inOrder[i]!;
    const isServiced = services.some(({ day }) => day >= Math.floor(before.day) && day <= check.day);
    if (check.alike !== before.alike || isServiced) return [];
    return [check.sum / check.count - before.sum / before.count];
  });
}
