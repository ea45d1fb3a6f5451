import { DateTime } from "luxon";

/** What an invented fleet is made from. The same options give the same fleet, byte for byte. */
export interface DemoOptions {
  /** Any integer. */
  readonly seed: number;
  readonly units: number;
  /** Length of the record before the as-of day. */
  readonly years: number;
  /** ISO day, e.g. "2026-03-31": the record ends the evening before, so that nothing lies in the future. */
  readonly asOf: string;
  /** `usual`: from daily to every ten weeks by use; `sparse`: every six to fourteen weeks. */
  readonly checks: "usual" | "sparse";
  /** Share of units that drift in one way or another, 0 to 1. */
  readonly driftingShare: number;
  /** Share of lots with a wrong or an ageing value, 0 to 1. */
  readonly badLotShare: number;
  /** Factor on repeatability and handling; 1 is usual. */
  readonly noise: number;
  /** Sudden shifts per unit and year. */
  readonly stepsPerUnitYear: number;
}

const DEFAULTS: Omit<DemoOptions, "asOf"> = {
  seed: 9,
  units: 240,
  years: 3,
  checks: "usual",
  driftingShare: 0.16,
  badLotShare: 0.05,
  noise: 1,
  stepsPerUnitYear: 0.05,
};

/**
 * Fills in defaults and checks ranges.
 *
 * @throws {RangeError} that names the option, its range and the value received.
 */
export function completeOptions(given: Partial<DemoOptions> & Pick<DemoOptions, "asOf">): DemoOptions {
  const options = { ...DEFAULTS, ...given };
  const { seed, units, years, asOf, driftingShare, badLotShare, noise, stepsPerUnitYear } = options;
  requireThat(Number.isSafeInteger(seed), "seed must be a whole number", seed);
  requireThat(Number.isInteger(units) && units >= 1 && units <= 100_000, "units must be 1 to 100000", units);
  requireThat(years >= 0.5 && years <= 20, "years must be 0.5 to 20", years);
  requireThat(
    DateTime.fromISO(asOf, { zone: "utc" }).isValid && asOf.length === 10,
    "as-of must be a day such as 2026-03-31",
    asOf,
  );
  requireThat(driftingShare >= 0 && driftingShare <= 1, "drifting share must be 0 to 1", driftingShare);
  requireThat(badLotShare >= 0 && badLotShare <= 1, "bad lot share must be 0 to 1", badLotShare);
  requireThat(noise >= 0 && noise <= 10, "noise must be 0 to 10", noise);
  requireThat(
    stepsPerUnitYear >= 0 && stepsPerUnitYear <= 20,
    "steps per unit and year must be 0 to 20",
    stepsPerUnitYear,
  );
  return options;
}

function requireThat(holds: boolean, rule: string, got: number | string): void {
  if (!holds) throw new RangeError(`${rule}, got ${got}`);
}
