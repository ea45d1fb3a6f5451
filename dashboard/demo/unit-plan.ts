import { fullScaleRangeMPaS } from "../../analysis/index.ts";
import type { RecordDays } from "./days.ts";
import type { DemoOptions } from "./options.ts";
import type { RandomSource } from "./random.ts";
import {
  DRIFT_FAULTS,
  type Fault,
  FLUID_PRODUCTS,
  type FluidProduct,
  type GeometrySize,
  SPEEDS_RPM,
  SPRING_CLASSES,
  USAGES,
  type Usage,
} from "./scenario.ts";
import type { Piece, Site, Surroundings } from "./surroundings.ts";

export type ServiceAction = "adjusted" | "repaired" | "inspected";

export interface PlannedService {
  readonly day: number;
  readonly action: ServiceAction;
}

/** All that is settled about a unit before its first check: who it is, how it is used, when it is serviced. */
export interface UnitPlan {
  readonly index: number;
  readonly instrument: string;
  readonly site: Site;
  readonly modelClass: string;
  readonly fullScaleTorqueUnm: number;
  readonly usage: Usage;
  readonly daysBetweenChecks: number;
  readonly fault: Fault;
  readonly inServiceSince: number;
  /** Oldest first; the first may lie before the first check. None lies after the as-of day. */
  readonly services: readonly PlannedService[];
  readonly nextServiceDue: number;
  /** The usual piece first. */
  readonly pieces: readonly Piece[];
  /** The usual fluid first. */
  readonly products: readonly FluidProduct[];
  /** Standard deviation of repeated readings. Unit: % of full scale. */
  readonly repeatability: number;
  /** From this day no check is made any more; infinite where checks go on. */
  readonly lastCheckBefore: number;
}

/** Three speeds, low to high, that bring a fluid into the low, medium and high band; null where there are none. */
export function speedsFor(
  fullScaleTorqueUnm: number,
  size: GeometrySize,
  valueMPaS: number,
): [number, number, number] | null {
  const torquePerRpm = (100 * valueMPaS) / fullScaleRangeMPaS(size, fullScaleTorqueUnm, 1);
  const nearest = (torque: number, lowest: number, highest: number): number | undefined =>
    SPEEDS_RPM.filter((speed) => speed * torquePerRpm >= lowest && speed * torquePerRpm <= highest).sort(
      (a, b) => Math.abs(a * torquePerRpm - torque) - Math.abs(b * torquePerRpm - torque),
    )[0];
  const low = nearest(20, 12, 29);
  const medium = nearest(50, 32, 68);
  const high = nearest(82, 71, 91);
  return low === undefined || medium === undefined || high === undefined ? null : [low, medium, high];
}

/** Plans one unit from random numbers of its own, so that units can be made one by one. */
export function planUnit(
  random: RandomSource,
  index: number,
  digits: number,
  surroundings: Surroundings,
  options: DemoOptions,
  days: RecordDays,
): UnitPlan {
  const site = surroundings.sites[index % surroundings.sites.length] as Site;
  const { modelClass, fullScaleTorqueUnm } = random.pick(SPRING_CLASSES);
  const pieces = pickPieces(random, site, fullScaleTorqueUnm);
  const size = (pieces[0] as Piece).size;
  const products = pickProducts(random, fullScaleTorqueUnm, size);
  const sparse = options.checks === "sparse";
  const usage = random.pickWeighted(
    Object.entries(USAGES).map(([name, { share, sparseShare }]): [Usage, number] => [
      name as Usage,
      sparse ? sparseShare : share,
    ]),
  );
  const fault: Fault = random.chance(options.driftingShare)
    ? random.pickWeighted(DRIFT_FAULTS)
    : random.chance(0.02)
      ? "scatter"
      : "healthy";
  const isNew = random.chance(0.12);
  const inServiceSince = Math.floor(
    isNew ? random.between(days.first, days.asOf - 120) : random.between(days.first - 1500, days.first - 40),
  );
  const intervalDays = usage === "several_shifts" ? 183 : 365;
  const { services, nextServiceDue } = planServices(random, inServiceSince, intervalDays, fault, days);
  const stops = days.asOf > site.behindFromDay && random.chance(0.6);
  return {
    index,
    instrument: `${site.name[0]}-${String(index + 1).padStart(digits, "0")}`,
    site,
    modelClass,
    fullScaleTorqueUnm,
    usage,
    daysBetweenChecks: USAGES[usage].daysBetweenChecks * (sparse ? 1.4 : 1),
    fault,
    inServiceSince,
    services,
    nextServiceDue,
    pieces,
    products,
    repeatability: options.noise * 0.13 * Math.exp(random.normalWithin(0.35, 0.8)),
    lastCheckBefore: stops
      ? Math.floor(random.between(site.behindFromDay, days.asOf - 35))
      : Number.POSITIVE_INFINITY,
  };
}

/** A size for which some fluid reaches all three bands, and both of the site's pieces of it in either order. */
function pickPieces(random: RandomSource, site: Site, fullScaleTorqueUnm: number): Piece[] {
  const usable = site.pieces.filter((piece) => productsFor(fullScaleTorqueUnm, piece.size).length > 0);
  const usual = random.pick(usable);
  return [usual, ...usable.filter((piece) => piece !== usual && piece.size === usual.size)];
}

function pickProducts(random: RandomSource, fullScaleTorqueUnm: number, size: GeometrySize): FluidProduct[] {
  const usable = productsFor(fullScaleTorqueUnm, size);
  const usual = random.pick(usable);
  const others = usable.filter((product) => product !== usual);
  return others.length > 0 && random.chance(0.5) ? [usual, random.pick(others)] : [usual];
}

function productsFor(fullScaleTorqueUnm: number, size: GeometrySize): FluidProduct[] {
  return FLUID_PRODUCTS.filter(
    (product) => speedsFor(fullScaleTorqueUnm, size, product.nominalMPaS) !== null,
  );
}

/**
 * Services one interval apart, most a few days early, some weeks late. The last one before the first check is kept,
 * since the first life begins with it. Only a sound unit is sent back from an inspection as it came.
 */
function planServices(
  random: RandomSource,
  inServiceSince: number,
  intervalDays: number,
  fault: Fault,
  days: RecordDays,
): { services: PlannedService[]; nextServiceDue: number } {
  const services: PlannedService[] = [];
  let last = inServiceSince;
  if (inServiceSince < days.first) {
    last = Math.max(inServiceSince, days.first - Math.floor(random.between(10, intervalDays - 20)));
    if (last > inServiceSince) services.push({ day: last, action: "adjusted" });
  }
  for (;;) {
    const due = last + intervalDays;
    const late = random.chance(0.06);
    const day = Math.floor(due + (late ? random.between(20, 90) : random.between(-16, 6)));
    if (day >= days.asOf) return { services, nextServiceDue: due };
    const action =
      fault === "healthy"
        ? random.pickWeighted<ServiceAction>([
            ["adjusted", 0.8],
            ["inspected", 0.14],
            ["repaired", 0.06],
          ])
        : random.pickWeighted<ServiceAction>([
            ["adjusted", 0.88],
            ["repaired", 0.12],
          ]);
    services.push({ day, action });
    last = day;
  }
}
