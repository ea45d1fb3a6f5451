import type { BandName } from "./band.ts";

/** What the fleet analysis answers. Plain objects; times are days since 1970-01-01 UTC. */

export type UnitState = "steady" | "leaning" | "heading-out" | "out" | "unjudged";
export type PatternName = "none" | "span" | "zero" | "friction" | "curvature" | "step" | "scatter";
export type ShapeName = "zero" | "span" | "curvature" | "friction";

/** A band of the unit, in error over tolerance (1 is the limit). */
export interface BandOutlook {
  readonly now: number;
  readonly nowSd: number;
  readonly atService: number;
  readonly atServiceSd: number;
  /** Checks of the present life that hold a usable reading in this band. */
  readonly checks: number;
}

/** One component of the unit's own error, in % of full scale. */
export interface ShapeOutlook {
  readonly now: number;
  readonly sd: number;
  readonly perYear: number;
}

/** A sudden shift that the unit's own checks show. Sizes in % of full scale. */
export interface StepFound {
  /** Last day before and first day after the shift. */
  readonly betweenDays: readonly [number, number];
  readonly zero: number;
  readonly span: number;
}

/** What a forecast rests on, so that it can be taken apart. */
export interface ForecastBasis {
  readonly checksUsed: number;
  readonly checksLeftOut: number;
  /** Mean share of fluid lot and bath that was taken away over the present life. Unit: % of reading. */
  readonly sharedErrorRemoved: number;
  /** 0: all from this unit's checks; 1: all from the fleet. For the drift rate of the band named in the forecast. */
  readonly fleetWeight: number;
  /** The explanations weighed, likeliest first; weights add to 1. */
  readonly explanations: readonly { readonly name: string; readonly weight: number }[];
  /** The same probability from this unit's checks alone: a wide prior, lots and baths left in. */
  readonly pOutBeforeServiceAlone: number | null;
}

export interface UnitForecast {
  readonly instrument: string;
  readonly site: string | null;
  readonly nextServiceDueDay: number | null;
  /** null where the unit cannot be judged; `note` says why. */
  readonly pOutNow: number | null;
  readonly pOutBeforeService: number | null;
  /** Days by which the unit has left tolerance with probability 0.05, 0.5, 0.95; null: not within ten years. */
  readonly outOn: { readonly p05: number | null; readonly p50: number | null; readonly p95: number | null };
  /** The band most likely to leave tolerance first. */
  readonly band: BandName | null;
  readonly bands: Readonly<Record<BandName, BandOutlook>> | null;
  readonly shape: Readonly<Record<ShapeName, ShapeOutlook | null>> | null;
  readonly pattern: { readonly name: PatternName; readonly strength: number };
  readonly steps: readonly StepFound[];
  readonly lastCheckDay: number | null;
  readonly overdueCheck: boolean;
  readonly state: UnitState;
  readonly note: string | null;
  readonly basis: ForecastBasis | null;
}

export type LotVerdict = "sound" | "doubtful" | "unsound" | "unjudged";

/** How far a lot is from its certificate at its last use, by all the units that share it. */
export interface LotAssessment {
  readonly fluidLot: string;
  readonly errorPercent: number;
  readonly errorSd: number;
  readonly perYearPercent: number;
  readonly units: number;
  readonly checks: number;
  readonly lastUseDay: number;
  readonly verdict: LotVerdict;
  readonly note: string | null;
}

/** How far a site's bath is from what its thermometer says, by all the units that use it. */
export interface BathAssessment {
  readonly site: string;
  /** First and last day of the period. */
  readonly fromDay: number;
  readonly toDay: number;
  readonly kelvin: number;
  readonly kelvinSd: number;
  readonly units: number;
}

export interface FleetAssessment {
  readonly asOfDay: number;
  /** When what is known of the fleet as a whole was learnt: this day or one before it. */
  readonly figuresAsOfDay: number;
  /** Likeliest to leave tolerance first; units that cannot be judged last. */
  readonly units: readonly UnitForecast[];
  readonly lots: readonly LotAssessment[];
  readonly baths: readonly BathAssessment[];
}

/**
 * One unit's life in one band as the model sees it: error over tolerance at a row of days, past and to come.
 * All arrays have the length of `day`.
 */
export interface BandPath {
  readonly day: readonly number[];
  readonly p05: readonly number[];
  readonly p25: readonly number[];
  readonly p50: readonly number[];
  readonly p75: readonly number[];
  readonly p95: readonly number[];
}

/** What the unit page draws, computed for one unit when asked for. */
export interface UnitPaths {
  /** The present life up to the as-of day: the unit's own error as known from the checks up to each day. */
  readonly past: Readonly<Record<BandName, BandPath>>;
  /** From the as-of day to the next service. */
  readonly ahead: Readonly<Record<BandName, BandPath>>;
  /** The unit's own error on the as-of day along the expected torque. Unit of all: % of full scale. */
  readonly nowAlongTorque: {
    readonly torque: readonly number[];
    readonly p05: readonly number[];
    readonly p50: readonly number[];
    readonly p95: readonly number[];
  };
  /** Per reading of the unit: its error with fluid lot and bath taken away. Unit: % of full scale. */
  readonly errorWithoutSharedCauses: Float64Array;
  /** Probability to have left tolerance by each day of `ahead`. */
  readonly pOutBy: readonly number[];
}
