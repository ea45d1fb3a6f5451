import { YEAR_DAYS } from "./days.ts";
import type { RandomSource } from "./random.ts";
import {
  FLUID_PRODUCTS,
  type FluidProduct,
  GEOMETRY_SIZES,
  type GeometrySize,
  ROLES,
  SITES,
} from "./scenario.ts";

/** Everything that units share and that can be wrong without any unit being wrong. Days count from 1970-01-01 UTC. */

/** A bottle series with its certificate, and how far the truth is from it. */
export interface Lot {
  readonly fluidLot: string;
  readonly product: FluidProduct;
  readonly certifiedMPaS: number;
  readonly expandedUncertaintyPercent: number;
  /** % per K, negative. */
  readonly coefficient: number;
  readonly fromDay: number;
  readonly expiresDay: number;
  /** True value against the certificate when the lot is new. Unit: %. */
  errorPercent: number;
  /** Unit: % per year. */
  errorPerYear: number;
}

/** One cup with its bob. Its register holds the drawing's measures; the piece itself departs from them. */
export interface Piece {
  readonly geometry: string;
  readonly size: GeometrySize;
  /** By how much it makes every reading too high. Unit: % of reading, at `sinceDay`. */
  readonly errorPercent: number;
  readonly errorPerYear: number;
  readonly sinceDay: number;
}

export interface Operator {
  readonly name: string;
  /** % of reading, the same at every check. */
  readonly errorPercent: number;
  /** Standard deviation of filling and waiting, per check. Unit: % of reading. */
  readonly fillingSd: number;
}

export interface Site {
  readonly name: string;
  readonly operators: readonly Operator[];
  readonly pieces: readonly Piece[];
  /** The line of supply (0, 1, ...) it takes its lots from. */
  readonly supplyLine: number;
  /** How many days after its first use elsewhere a lot is opened here. */
  readonly openingDelayDays: number;
  /** True minus indicated temperature. Unit: K. */
  readonly bathErrorK: number;
  readonly bathSeasonK: number;
  /** From this day the bath reads wrong by `bathFaultK` more; infinite where it never does. */
  readonly bathFaultFromDay: number;
  readonly bathFaultK: number;
  /** From this day checks are missed; infinite where they are not. */
  readonly behindFromDay: number;
}

export interface Surroundings {
  readonly sites: readonly Site[];
  /** Lots by supply line and product, each list oldest first. */
  readonly supply: readonly ReadonlyMap<FluidProduct, readonly Lot[]>[];
}

export interface SurroundingsOptions {
  readonly firstDay: number;
  readonly asOfDay: number;
  readonly supplyLines: number;
  readonly badLotShare: number;
  readonly noise: number;
}

const LONGEST_OPENING_DELAY = 70;

/** True minus indicated temperature of a site's bath on a day. Unit: K. */
export function bathError(site: Site, day: number): number {
  const season = site.bathSeasonK * Math.sin((2 * Math.PI * day) / YEAR_DAYS);
  return site.bathErrorK + season + (day >= site.bathFaultFromDay ? site.bathFaultK : 0);
}

/** True value against the certificate on a day. Unit: %. */
export function lotError(lot: Lot, day: number): number {
  return lot.errorPercent + (lot.errorPerYear * (day - lot.fromDay)) / YEAR_DAYS;
}

/** By how much a cup and bob make readings too high on a day. Unit: % of reading. */
export function pieceError(piece: Piece, day: number): number {
  return piece.errorPercent + (piece.errorPerYear * Math.max(0, day - piece.sinceDay)) / YEAR_DAYS;
}

/** The lot of a product in use at a site on a day. */
export function lotInUse(surroundings: Surroundings, site: Site, product: FluidProduct, day: number): Lot {
  const lots = surroundings.supply[site.supplyLine]?.get(product) ?? [];
  const opened = lots.findLast((lot) => lot.fromDay + site.openingDelayDays <= day);
  const lot = opened ?? lots[0];
  if (lot === undefined) throw new RangeError(`no lot of ${product.code} on supply line ${site.supplyLine}`);
  return lot;
}

/** Invents sites, their baths, people, cups and bobs, and the lots they use. */
export function makeSurroundings(random: RandomSource, options: SurroundingsOptions): Surroundings {
  const supply = Array.from({ length: options.supplyLines }, () => new Map<FluidProduct, Lot[]>());
  for (const product of FLUID_PRODUCTS) addLots(random, supply, product, options);
  spoilLots(
    random,
    supply.flatMap((line) => [...line.values()].flat()),
    options,
  );
  return { sites: makeSites(random, options), supply };
}

function addLots(
  random: RandomSource,
  supply: readonly Map<FluidProduct, Lot[]>[],
  product: FluidProduct,
  { firstDay, asOfDay }: SurroundingsOptions,
): void {
  let number = 0;
  for (const line of supply) {
    const lots: Lot[] = [];
    // The first lot is in use everywhere before the first check: no site opens it later than this.
    for (let day = firstDay - LONGEST_OPENING_DELAY - random.between(0, 200); day < asOfDay; ) {
      number++;
      const uncertainty = random.pick([0.4, 0.5, 0.6]);
      const fromDay = Math.floor(day);
      lots.push({
        fluidLot: `${product.code}-${String(number).padStart(2, "0")}`,
        product,
        certifiedMPaS: Number((product.nominalMPaS * random.between(0.92, 1.07)).toPrecision(4)),
        expandedUncertaintyPercent: uncertainty,
        coefficient: Number(random.between(product.coefficient[0], product.coefficient[1]).toFixed(2)),
        fromDay,
        expiresDay: fromDay + 450,
        errorPercent: random.normalWithin(uncertainty / 2, 0.8 * uncertainty),
        errorPerYear: 0,
      });
      day += random.between(300, 430);
    }
    line.set(product, lots);
  }
}

/**
 * Gives some lots a wrong certificate and some an error that grows. The first wrong one is in use for some time now,
 * the first ageing one was used up some time ago, so that both can be seen in the data.
 */
function spoilLots(
  random: RandomSource,
  lots: readonly Lot[],
  { asOfDay, badLotShare }: SurroundingsOptions,
): void {
  const wrong = Math.round((badLotShare * lots.length * 2) / 3);
  const ageing = Math.round((badLotShare * lots.length) / 3);
  const isShown = (lot: Lot): boolean => lot.product.code === "SI500" || lot.product.code === "MO1000";
  const byAge = (from: number, to: number): Lot[] =>
    lots.filter((lot) => isShown(lot) && asOfDay - lot.fromDay > from && asOfDay - lot.fromDay < to);
  const sound = new Set(lots);
  const spoil = (preferred: readonly Lot[]): Lot => {
    const lot = random.pick(preferred.length > 0 ? preferred : [...sound]);
    sound.delete(lot);
    return lot;
  };
  for (let i = 0; i < wrong; i++) {
    spoil(i === 0 ? byAge(120, 400) : []).errorPercent = random.sign() * random.between(1.1, 2.1);
  }
  for (let i = 0; i < ageing; i++) {
    spoil(i === 0 ? byAge(600, 1000) : []).errorPerYear = random.sign() * random.between(1.1, 2.2);
  }
}

function makeSites(random: RandomSource, options: SurroundingsOptions): Site[] {
  // What is wrong with a site is wrong at one site only, and at no site more than one thing is.
  const left = [...SITES];
  const draw = (): string => left.splice(Math.floor(random.uniform() * left.length), 1)[0] as string;
  const warm = draw();
  const seasonal = draw();
  const behind = draw();
  const wornAt = draw();
  const clumsyAt = draw();
  return SITES.map((name, i) => ({
    name,
    operators: ROLES.map((role) => makeOperator(random, name, role, name === clumsyAt, options.noise)),
    pieces: makePieces(random, name, name === wornAt, options.asOfDay),
    supplyLine: i % options.supplyLines,
    openingDelayDays: Math.floor(random.between(0, LONGEST_OPENING_DELAY)),
    bathErrorK: random.normalWithin(0.03, 0.06),
    bathSeasonK: name === seasonal ? 0.11 : Math.abs(random.normalWithin(0.015, 0.04)),
    bathFaultFromDay:
      name === warm ? options.asOfDay - Math.floor(random.between(240, 420)) : Number.POSITIVE_INFINITY,
    bathFaultK: random.between(0.2, 0.28),
    behindFromDay: name === behind ? options.asOfDay - 110 : Number.POSITIVE_INFINITY,
  }));
}

function makeOperator(
  random: RandomSource,
  site: string,
  role: string,
  clumsy: boolean,
  noise: number,
): Operator {
  const differs = clumsy && role === "trainee";
  return {
    name: `${site} ${role}`,
    errorPercent: differs ? -0.55 : random.normalWithin(0.05, 0.12),
    fillingSd: noise * (differs ? 0.5 : 0.18),
  };
}

/** Two pieces of every size a site, so that a worn one can be told from the units that use it. */
function makePieces(random: RandomSource, site: string, hasWorn: boolean, asOfDay: number): Piece[] {
  return GEOMETRY_SIZES.flatMap((size) =>
    [1, 2].map((number) => {
      const worn = hasWorn && size.size === "middle" && number === 1;
      return {
        geometry: `${site} ${size.size} ${number}`,
        size,
        errorPercent: random.normalWithin(0.1, 0.25),
        // Wear makes the bob thinner, and the torque is far more than proportional to its radius.
        errorPerYear: worn ? -1.1 : 0,
        sinceDay: asOfDay - 550,
      };
    }),
  );
}
