import type {
  BandName,
  BathAssessment,
  BudgetCost,
  FleetAssessment,
  FleetWatch,
  LinearityDifference,
  LotAssessment,
  LotInFull,
  Quantity,
  SecondFluid,
  SinceWhen,
  SiteScatter,
  Stage,
  UnitForecast,
  UnitPaths,
  UnitWatch,
} from "../../analysis/index.ts";
import type { FileRecord, Flag, FluidRecord, InstrumentRecord, ServiceRecord } from "../../ingest/index.ts";
import type { Settings } from "../settings.ts";
import type { ReturnsQuestion } from "./booking-problem.ts";
import type { CourseMonth } from "./fleet-course.ts";
import type { StandingJudgement } from "./judgements.ts";
import type { ReturnsPlan } from "./plan-returns.ts";
import type { ReturnsInput } from "./returns-input.ts";
import type { SettingsPreview } from "./settings-preview.ts";
import type { TrackRecord } from "./track-record.ts";

/**
 * What the pages are given: plain data, computed once per state of the store.
 *
 * Times are days since 1970-01-01 UTC; `asOf` is an ISO date. "Error over tolerance" has 1 at the limit;
 * every other error is in % of full scale.
 */

/** Answers the pages' questions. Answers are kept until the store changes. */
export interface Assessment {
  /** The latest look at the whole fleet that is finished; waits only for the first. */
  current(): Promise<FleetView>;
  /** null: no such unit. */
  unit(instrument: string): Promise<UnitView | null>;
  /** Return plans, one for each question; the first time after a change of the store it takes a while. */
  returns(questions: readonly ReturnsQuestion[]): Promise<ReturnsView>;
  /** Lots in full and baths; the first time after a change of the store it takes a while. */
  fluids(): Promise<FluidsView>;
  /**
   * How past forecasts came true; never waits for it to be worked out.
   *
   * @param start Whether to have it worked out where it is not known for this state of the store.
   */
  record(start: boolean): Promise<RecordView>;
  /** What the charts raised this week, and who stands out; the first time after a change of the store it takes a while. */
  review(): Promise<ReviewView>;
  /** The fleet month by month; never waits, has it worked out where it is not known. */
  course(): Promise<CourseView>;
  /** What settings would do to the fleet; takes seconds the first time it is asked. */
  settingsPreview(proposed: Settings): Promise<SettingsPreview>;
  /** What tighter and wider budgets of false alarms cost in delay; null: nothing is charted. */
  budgetCosts(): Promise<readonly BudgetCost[] | null>;
  /** How new what the pages show is; asking has a new look begun where the store or the day has changed. */
  standing(): Promise<Standing>;
}

/** The fleet at the end of each of the last months. */
export interface CourseView {
  /** Oldest first; null: none was worked out yet. */
  readonly months: readonly CourseMonth[] | null;
  /** Months done of so many; null: nothing is under way. */
  readonly progress: { readonly done: number; readonly of: number } | null;
}

/** How new what the pages show is. */
export interface Standing {
  /** Of the store; grows with every change of it. */
  readonly revision: number;
  /** The look at the whole fleet that the pages show; null: the first one is still under way. */
  readonly shown: { readonly revision: number; readonly asOf: string; readonly finishedAtMs: number } | null;
  /** What the look at newer checks is busy with; null: nothing is newer than what is shown. */
  readonly looking: LookStage | null;
  /** Whether the look at the newest checks ended early, so that older ones stay. */
  readonly failed: boolean;
}

/** What a look at the whole fleet does, in order. */
export const LOOK_STAGES = ["reading", "learning", "judging"] as const;
export type LookStage = (typeof LOOK_STAGES)[number];

/** The weekly review list, at the end of a day. */
export interface ReviewView extends Pick<FleetWatch, "budget" | "signals" | "review"> {
  /** Signals from this day on are listed. */
  readonly fromDay: number;
}

/** What is known of the record of past forecasts at the moment. */
export interface RecordView {
  readonly asOf: string;
  readonly revision: number;
  /** The latest there is; null: none was worked out yet. */
  readonly record: TrackRecord | null;
  /** Whether it is of this very state of the store. */
  readonly isCurrent: boolean;
  /** Days of the past replayed of so many (0 of 0 at first); null: nothing is under way. */
  readonly progress: { readonly done: number; readonly of: number } | null;
}

/** What units share: their fluid lots and baths, at the end of `asOf`. */
export interface FluidsView {
  readonly asOf: string;
  readonly revision: number;
  /** Every unit of the fleet, checked or not. */
  readonly units: number;
  readonly lots: readonly FluidLotView[];
  /** Site by site, oldest quarter first. */
  readonly baths: readonly BathAssessment[];
  /** How far the fluid may be from its temperature at a check. Unit: K. */
  readonly allowedKelvin: number;
}

export interface FluidLotView {
  readonly assessment: LotAssessment;
  readonly inFull: LotInFull;
  /** null: the lot is not registered. */
  readonly certificate: FluidRecord | null;
}

/** Return plans made from one state of the store. */
export interface ReturnsView {
  readonly input: ReturnsInput;
  /** In the order of the questions. */
  readonly plans: readonly ReturnsPlan[];
  readonly settings: Settings;
}

/** The whole fleet at the end of `asOf`. */
export interface FleetView {
  readonly asOf: string;
  /** Grows with every change of the store; two views with the same number are equal. */
  readonly revision: number;
  readonly assessment: FleetAssessment;
  readonly instruments: ReadonlyMap<string, InstrumentRecord>;
  /** Every site that a unit is registered at, by name. */
  readonly sites: readonly SiteFacts[];
  /** The sites at which each lot was used. */
  readonly lotSites: Readonly<Record<string, readonly string[]>>;
  /** Readings accepted up to `asOf`; null: not counted for the sites that this view is limited to. */
  readonly readings: number | null;
  /** Rows held back so far; null as above. */
  readonly quarantined: number | null;
  readonly files: readonly FileRecord[];
}

export interface SiteFacts {
  readonly site: string;
  /**
   * Share of the last half year's checks that came no later than the unit's use asks for, 0 to 1;
   * null where no unit of the site was checked in that time.
   */
  readonly checksOnTime: number | null;
  /** null: too few checks beside each other. */
  readonly scatter: SiteScatter | null;
}

/** Everything about one unit at the end of `asOf`. */
export interface UnitView {
  readonly asOf: string;
  readonly revision: number;
  readonly instrument: InstrumentRecord;
  readonly forecast: UnitForecast;
  /** null where the unit cannot be judged. */
  readonly paths: UnitPaths | null;
  /** Oldest first. */
  readonly services: readonly ServiceRecord[];
  /** Every accepted reading, sorted by time, then torque: the order of `paths.errorWithoutSharedCauses`. */
  readonly readings: readonly UnitReading[];
  /** The lots that this unit was checked with. */
  readonly lots: readonly LotAssessment[];
  /** The rule in force along the torque, 0 to 100 %, for the geometry used last. Unit of both: % of full scale. */
  readonly toleranceAlongTorque: {
    readonly torque: readonly number[];
    readonly tolerance: readonly number[];
  };
  readonly linearity: {
    /** All usable readings of the present life, pooled: where it has stood on the whole, not where it stands today. */
    readonly life: LinearityView | null;
    /** The readings as found at the service that began the present life; null: none are on record. */
    readonly asFound: LinearityView | null;
    /** The readings after the service that began the present life (stage `as_left`, or its first checks). */
    readonly asLeft: LinearityView | null;
    /** The latest checks of the present life, without those as left. */
    readonly latest: LinearityView | null;
    /** Latest minus as left; null where one of them is missing. */
    readonly change: LinearityDifference | null;
    /** Every life that holds a line, oldest first. */
    readonly lives: readonly LinearityView[];
    /** The present life, one fluid lot at a time. */
    readonly fluids: readonly (LinearityView & { readonly fluidLot: string })[];
    /** Whether a second fluid shows the same bend at other speeds; null: no such check was made. */
    readonly secondFluid: SecondFluid | null;
  };
  /** What people decided about it, oldest first. */
  readonly judgements: readonly StandingJudgement[];
  /** Its control charts within the fleet's budget of false alarms. */
  readonly watch: Omit<UnitWatch, "newLimits">;
  /** Individuals charts of the present life, where there were checks enough to freeze limits. */
  readonly charts: readonly IndividualsChart[];
  /** Since when it has most likely been out; null: it is not out, or its checks cannot tell. */
  readonly outSince: SinceWhen | null;
}

/** One reading down to the line it came from. */
export interface UnitReading {
  readonly day: number;
  /** Running number of the check among the unit's checks. */
  readonly check: number;
  readonly stage: Stage;
  readonly fluidLot: string | null;
  readonly geometry: string | null;
  readonly operator: string | null;
  readonly site: string | null;
  readonly file: string;
  readonly line: number;
  readonly speedRpm: number;
  /** Expected torque. Unit: % of full scale. */
  readonly torque: number;
  /** null below 10 % and above 100 %. */
  readonly band: BandName | null;
  readonly readingMPaS: number;
  readonly certifiedMPaS: number;
  readonly rangeMPaS: number;
  /** Fluid temperature minus the certificate's. Unit: K; null where not recorded. */
  readonly temperatureOffsetK: number | null;
  /** Unit: % of full scale. */
  readonly error: number;
  /** Under the rule in force. Unit: % of full scale. */
  readonly tolerance: number;
  readonly errorOverTolerance: number;
  /** With fluid lot and bath taken away; null where the unit cannot be judged. Unit: % of full scale. */
  readonly errorWithoutSharedCauses: number | null;
  /** One of the analysis' USE: 0 shown only, 1 in full, 2 low weight. */
  readonly use: number;
  readonly flags: readonly Flag[];
}

/** Error on expected torque, pooled over `checks` checks: error = zero + span x / 100 at torque x %. */
export interface LinearityView {
  readonly fromDay: number;
  readonly toDay: number;
  readonly checks: number;
  readonly zero: number;
  readonly zeroSe: number;
  /** Probability of a value at least as far from 0 where the true one is 0 (t test); so for span and nonlinearity. */
  readonly zeroP: number;
  readonly span: number;
  readonly spanSe: number;
  readonly spanP: number;
  /** Departure of the middle from the chord; null where it cannot be told. */
  readonly nonlinearity: number | null;
  readonly nonlinearitySe: number | null;
  readonly nonlinearityP: number | null;
  /** F test that zero and span are both 0. */
  readonly jointP: number;
  /** F test of the line against repeats at equal torque; null where none was repeated. */
  readonly lackOfFitP: number | null;
  /** Scatter seen: of one reading in % of full scale, and shared by a check in % of reading. */
  readonly repeatability: number;
  readonly sharedProportional: number;
  /** The line with the band that holds its mean with 95 %, over the torques of the readings. */
  readonly curve: {
    readonly torque: readonly number[];
    readonly mean: readonly number[];
    readonly lower: readonly number[];
    readonly upper: readonly number[];
    /** The band that holds the whole line at once with 95 %; only of lines through checks. */
    readonly wholeLower?: readonly number[];
    readonly wholeUpper?: readonly number[];
  };
}

/** Individuals and moving-range chart of one quantity over the present life, in the quantity's own unit. */
export interface IndividualsChart {
  readonly quantity: Quantity;
  readonly centre: number;
  readonly lower: number;
  readonly upper: number;
  /** Limit of the moving range, whose lower one is 0. */
  readonly rangeUpper: number;
  /** The checks that the limits were frozen from: the first of the life. */
  readonly baselineChecks: number;
  readonly baselineToDay: number;
  readonly points: readonly IndividualsPoint[];
}

export interface IndividualsPoint {
  readonly day: number;
  readonly value: number;
  readonly beyond: boolean;
  /** Distance to the check before; null for the first. */
  readonly range: number | null;
  readonly rangeBeyond: boolean;
}
