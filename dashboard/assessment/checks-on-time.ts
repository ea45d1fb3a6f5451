import { type FleetChecks, longestCheckGap, type UnitChecks } from "../../analysis/index.ts";

/** A site that makes fewer of its checks on time than this is behind: one in ten may slip. */
export const ON_TIME_TARGET = 0.9;

const LOOK_BACK_DAYS = 182;

/**
 * Share of the last half year's checks, by site, that came no later than the unit's use asks for.
 *
 * @remarks Each gap between two checks is one occasion, and so is the gap still open on the as-of day once
 * it is late. Sites without any are left out.
 */
export function checksOnTimeBySite(fleet: FleetChecks): Map<string, number> {
  const tally = new Map<string, { onTime: number; all: number }>();
  for (const unit of fleet.units) {
    const longest = longestCheckGap(unit.usage, fleet.checkEveryDays);
    if (unit.site === null || longest === null) continue;
    const { onTime, late } = countGaps(unit, fleet.asOfDay, longest);
    const site = tally.get(unit.site) ?? { onTime: 0, all: 0 };
    tally.set(unit.site, { onTime: site.onTime + onTime, all: site.all + onTime + late });
  }
  return new Map(
    [...tally].filter(([, { all }]) => all > 0).map(([site, { onTime, all }]) => [site, onTime / all]),
  );
}

function countGaps(unit: UnitChecks, asOfDay: number, allowedDays: number): { onTime: number; late: number } {
  const { readings } = unit;
  const from = asOfDay + 1 - LOOK_BACK_DAYS;
  let onTime = 0;
  let late = 0;
  let previous = Number.NaN;
  for (let i = 0; i < readings.count; i++) {
    if (i > 0 && readings.check[i] === readings.check[i - 1]) continue;
    const day = readings.day[i]!;
    if (day >= from && day - previous > 0) day - previous <= allowedDays ? onTime++ : late++;
    previous = day;
  }
  if (asOfDay + 1 - previous > allowedDays) late++;
  return { onTime, late };
}
