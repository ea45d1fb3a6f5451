import type { CheckEveryDays } from "./check-frequency.ts";
import type { ToleranceRule } from "./tolerance.ts";

/**
 * What the analysis is given: checks as columns of typed arrays, everything else as plain objects.
 * Times are days since 1970-01-01 UTC (fractions of a day allowed); a year is 365.25 days.
 */

/** Stage of a check: `routine` between services, `as_found` just before one, `as_left` just after. */
export const STAGES = ["routine", "as_found", "as_left"] as const;
export type Stage = (typeof STAGES)[number];

/** How a reading may be used: shown only, in full, or with low weight because it stands apart in its check. */
export const USE = { shownOnly: 0, full: 1, lowWeight: 2 } as const;

/**
 * One unit's readings as columns, each of length `count`, sorted by time, then torque.
 * Indices (lot, site, geometry, operator) point into the lists of {@link FleetChecks}; -1 is "not recorded".
 */
export interface UnitReadings {
  readonly count: number;
  /** When the check was made. Unit: days since 1970-01-01 UTC. */
  readonly day: Float64Array;
  /** Running number of the check that the reading belongs to: 0, 1, 2 ... never falling. */
  readonly check: Int32Array;
  /** Expected torque, 100 x certified value / full-scale range. Unit: % of full scale. */
  readonly torque: Float64Array;
  /** Error, 100 x (reading - certified value) / full-scale range. Unit: % of full scale. */
  readonly error: Float64Array;
  /** Tolerance of this reading under the rule in force. Unit: % of full scale. */
  readonly tolerance: Float64Array;
  readonly lot: Int32Array;
  readonly site: Int32Array;
  readonly geometry: Int32Array;
  readonly operator: Int32Array;
  /** Fluid temperature minus the certificate's. Unit: K; NaN where not recorded. */
  readonly temperatureOffset: Float64Array;
  /** Index into {@link STAGES}. */
  readonly stage: Uint8Array;
  /** One of {@link USE}. */
  readonly use: Uint8Array;
}

export type ServiceAction = "adjusted" | "repaired" | "inspected";

export interface Service {
  readonly day: number;
  readonly action: ServiceAction;
}

/** One unit: its readings, its services (oldest first) and when the next one is due. */
export interface UnitChecks {
  readonly instrument: string;
  readonly site: string | null;
  readonly modelClass: string | null;
  /** How often it is used, which sets how often it should be checked. */
  readonly usage: string | null;
  readonly services: readonly Service[];
  /** null: not known, so that nothing can be said about "before its service". */
  readonly nextServiceDueDay: number | null;
  /** Days from which somebody had the limits of its control charts fitted anew. */
  readonly baselineFromDays?: readonly number[];
  readonly readings: UnitReadings;
}

/** What a lot's certificate says. */
export interface LotFacts {
  readonly fluidLot: string;
  readonly fluidType: string | null;
  /** Relative change of viscosity. Unit: % per K, negative; null where not certified. */
  readonly temperatureCoefficient: number | null;
  /** k = 2. Unit: % of the certified value; null where not certified. */
  readonly expandedUncertainty: number | null;
}

/** Everything that was known at the end of `asOfDay`, and nothing later. */
export interface FleetChecks {
  readonly asOfDay: number;
  readonly units: readonly UnitChecks[];
  readonly lots: readonly LotFacts[];
  readonly sites: readonly string[];
  readonly geometries: readonly string[];
  readonly operators: readonly string[];
  readonly toleranceRule: ToleranceRule;
  /** How often units are to be checked; as usual where left out. */
  readonly checkEveryDays?: CheckEveryDays;
}
