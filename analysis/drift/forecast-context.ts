import type { FleetChecks } from "../fleet.ts";
import type { EffectEstimates } from "./effect-blocks.ts";
import { EventSearch } from "./events.ts";
import { estimatesOf, type FleetFigures } from "./figures.ts";
import { JointColumns } from "./joint-columns.ts";
import { LifeFilter } from "./life-filter.ts";
import { LifeSmoother } from "./life-smoother.ts";
import {
  ageingKey,
  bathKey,
  CAUSES,
  type Cause,
  causeOf,
  coefficientOf,
  type LotCourse,
  lotKey,
  quarterKey,
  quarterOf,
  type SharedDesign,
} from "./shared-design.ts";

/** What every unit's forecast needs, prepared once for a fleet and its figures. */
export interface ForecastContext {
  readonly fleet: FleetChecks;
  readonly figures: FleetFigures;
  readonly design: SharedDesign;
  readonly estimates: EffectEstimates;
  readonly filter: LifeFilter;
  readonly smoother: LifeSmoother;
  /** Over the same filter and smoother. */
  readonly joined: JointColumns;
  readonly search: EventSearch;
}

/** Prepares a fleet for forecasts with figures learnt before. Cost: lots and sites times quarters, not readings. */
export function forecastContext(fleet: FleetChecks, figures: FleetFigures): ForecastContext {
  const design = designFromFigures(fleet, figures);
  const filter = new LifeFilter();
  const smoother = new LifeSmoother();
  return {
    fleet,
    figures,
    design,
    estimates: estimatesOf(figures, design.keys),
    filter,
    smoother,
    joined: new JointColumns(filter, smoother),
    search: new EventSearch(figures.population, filter, smoother),
  };
}

/**
 * The fit's design, met again by name: the lists of the fleet may have grown or changed order since.
 * Lots, sites and quarters that the fit has not seen get effects of their own, with the fleet's spread.
 */
function designFromFigures(fleet: FleetChecks, { shared }: FleetFigures): SharedDesign {
  const keys = [...shared.keys];
  const at = new Map(keys.map((key, i) => [key, i]));
  const cause = keys.map((key) => CAUSES.indexOf(causeOf(key)));
  const effect = (kind: Cause, key: string): number => {
    const known = at.get(key);
    if (known !== undefined) return known;
    cause.push(CAUSES.indexOf(kind));
    at.set(key, keys.length);
    return keys.push(key) - 1;
  };
  const courseOf = new Map(shared.courses.map((course) => [course.fluidLot, course]));
  const lotEffect = new Int32Array(fleet.lots.length);
  const courses = fleet.lots.map(({ fluidLot }, lot): LotCourse => {
    const course = courseOf.get(fluidLot);
    lotEffect[lot] = effect("lot", lotKey(fluidLot));
    if (course) {
      for (const knee of course.kneeDays) effect("lot-ageing", ageingKey(fluidLot, knee));
      return course;
    }
    return { fluidLot, firstDay: fleet.asOfDay, lastDay: fleet.asOfDay, kneeDays: [] };
  });

  const known = keys
    .filter((key) => key.startsWith("bath-quarter:"))
    .map((key) => Number(key.slice(key.lastIndexOf(":") + 1)));
  const lastKnown = Math.max(...known);
  const lastQuarter = Math.max(quarterOf(fleet.asOfDay), lastKnown);
  const firstQuarter = Math.min(lastQuarter, ...known);
  const quarters = lastQuarter - firstQuarter + 1;
  const bathEffect = new Int32Array(fleet.sites.length);
  const quarterEffect = new Int32Array(fleet.sites.length * quarters).fill(-1);
  fleet.sites.forEach((site, s) => {
    bathEffect[s] = effect("bath", bathKey(site));
    for (let q = 0; q < quarters; q++) {
      const key = quarterKey(site, firstQuarter + q);
      const isNew = firstQuarter + q > lastKnown;
      quarterEffect[s * quarters + q] = at.get(key) ?? (isNew ? effect("bath-quarter", key) : -1);
    }
  });
  const named = (kind: Cause, names: readonly string[]) => {
    const isEstimated = shared.keys.some((key) => key.startsWith(`${kind}:`));
    return Int32Array.from(names, (name) => (isEstimated ? effect(kind, `${kind}:${name}`) : -1));
  };
  const geometryEffect = named("geometry", fleet.geometries);
  const operatorEffect = named("operator", fleet.operators);
  return {
    keys,
    cause: Uint8Array.from(cause),
    courses,
    lotEffect,
    bathEffect,
    firstQuarter,
    quarters,
    quarterEffect,
    geometryEffect,
    operatorEffect,
    coefficient: Float64Array.from(fleet.lots, coefficientOf),
  };
}
