import type { FleetChecks, UnitChecks } from "../../analysis/fleet.ts";
import { DEFAULT_TOLERANCE_RULE, tolerancePercentFs } from "../../analysis/tolerance.ts";
import { type Random, seededRandom } from "../support/random.ts";

/** What befalls a unit of the quiet fleet, `checks` after its life began; added to what it is without it. */
export interface Disturbance {
  readonly afterChecks: number;
  /** Unit: % of full scale; `spanPerCheck` grows from check to check. */
  readonly zero?: number;
  readonly span?: number;
  readonly spanPerCheck?: number;
  /** Factor on the repeatability. */
  readonly scatter?: number;
}

const AS_OF = 20543; // 2026-03-31
/** Units: % of full scale, % of reading. */
export const REPEATABILITY = 0.14;
export const SHARED = 0.1;
const TORQUES = [0.2, 0.5, 0.85];

export const QUIET_WEEKS_A_MONTH = 30.4375 / 7;

/**
 * A fleet in control: every unit stays where its service left it, checks scatter about that, and nothing else
 * happens unless a disturbance says so. One lot, one bath, checks every week or so.
 */
export function quietFleet(
  units: number,
  checks: number,
  seed: number,
  disturbed: (unit: number) => Disturbance | null = () => null,
): FleetChecks {
  const random = seededRandom(seed);
  return {
    asOfDay: AS_OF,
    units: Array.from({ length: units }, (_, i) => quietUnit(random, i, checks, disturbed(i))),
    lots: [
      { fluidLot: "lot 1", fluidType: "silicone", temperatureCoefficient: -2, expandedUncertainty: 0.2 },
    ],
    sites: ["site 1"],
    geometries: ["cup 1"],
    operators: [],
    toleranceRule: DEFAULT_TOLERANCE_RULE,
  };
}

function quietUnit(random: Random, index: number, checks: number, what: Disturbance | null): UnitChecks {
  const count = checks * TORQUES.length;
  const start = AS_OF - 7 * checks;
  const [zero, span, bend] = [0.12 * random.normal(), 0.2 * random.normal(), 0.1 * random.normal()];
  const column = () => new Float64Array(count);
  const [day, torque, error, tolerance] = [column(), column(), column(), column()];
  const check = new Int32Array(count);
  for (let k = 0; k < checks; k++) {
    const at = start + 7 * k + 4 * random.uniform();
    const after: Partial<Disturbance> = what && k >= what.afterChecks ? what : {};
    const shared = SHARED * random.normal();
    const drift = (after.spanPerCheck ?? 0) * (k + 1 - (what?.afterChecks ?? 0));
    TORQUES.forEach((x, b) => {
      const i = k * TORQUES.length + b;
      day[i] = at;
      check[i] = k;
      torque[i] = 100 * x;
      tolerance[i] = tolerancePercentFs(100 * x, DEFAULT_TOLERANCE_RULE);
      error[i] =
        zero +
        (after.zero ?? 0) +
        (span + (after.span ?? 0) + drift + shared) * x +
        bend * 4 * (x * x - x) +
        REPEATABILITY * (after.scatter ?? 1) * random.normal();
    });
  }
  return {
    instrument: `unit ${String(index + 1).padStart(4, "0")}`,
    site: "site 1",
    modelClass: null,
    usage: null,
    services: [{ day: start - 1, action: "adjusted" }],
    nextServiceDueDay: AS_OF + 100,
    readings: {
      count,
      day,
      check,
      torque,
      error,
      tolerance,
      lot: new Int32Array(count),
      site: new Int32Array(count),
      geometry: new Int32Array(count),
      operator: new Int32Array(count).fill(-1),
      temperatureOffset: new Float64Array(count),
      stage: new Uint8Array(count),
      use: new Uint8Array(count).fill(1),
    },
  };
}
