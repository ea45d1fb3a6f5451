import type { UnitChecks, UnitReadings } from "../fleet.ts";
import { USE } from "../fleet.ts";
import { cutLives } from "../life.ts";
import { curvatureLoading, frictionLoading } from "./components.ts";
import { appendEffects, type SharedDesign } from "./shared-design.ts";
import { DAYS_A_YEAR } from "./time.ts";

/** A reading that stands apart in its check counts as if its noise were five times as large. */
const LOW_WEIGHT_VARIANCE = 25;

/**
 * The usable checks of one life, as the filter reads them. Times are years since the life's start.
 *
 * Readings are grouped by check: check k holds the readings from `firstReading[k]` up to `firstReading[k + 1]`.
 * Shared effects likewise: `effectStart[k]` to `effectStart[k + 1]` index `effect` (a position in `effects`, which
 * holds the numbers of the design, in the order of first use) and `factor`.
 */
export interface LifeChecks {
  readonly startDay: number;
  /** false: the life began before the first service on record, so that it may have drifted already. */
  readonly startKnown: boolean;
  readonly endDay: number | null;
  readonly checks: number;
  readonly year: Float64Array;
  readonly firstReading: Int32Array;
  /** Temperature coefficient of the check's fluid. Unit: % per K. */
  readonly coefficient: Float64Array;
  /** 1 where the fluid's temperature was recorded. */
  readonly temperatureKnown: Uint8Array;
  readonly effects: Int32Array;
  readonly effectStart: Int32Array;
  readonly effect: Int32Array;
  readonly factor: Float64Array;
  /** Per reading: torque fraction, loadings of curvature and friction, error in % of full scale. */
  readonly span: Float64Array;
  readonly curvature: Float64Array;
  readonly friction: Float64Array;
  readonly error: Float64Array;
  /** Multiplies the repeatability variance. */
  readonly varianceFactor: Float64Array;
  /** Index of each reading in the unit's own columns. */
  readonly reading: Int32Array;
}

/**
 * A unit's lives, oldest first, the present one last; lives without usable readings are kept.
 *
 * @remarks The recorded departure from the certificate's temperature is taken away here; what the thermometer
 * itself is off by is left to the bath's effects.
 */
export function livesOf(unit: UnitChecks, design: SharedDesign): LifeChecks[] {
  return cutLives(unit.readings, unit.services).map((life) =>
    lifeChecks(unit, life.readings, life.fromDay, life.toDay, design),
  );
}

function lifeChecks(
  unit: UnitChecks,
  members: Int32Array,
  fromDay: number | null,
  endDay: number | null,
  design: SharedDesign,
): LifeChecks {
  const { readings } = unit;
  const { used, starts } = usableReadings(readings, members);
  const n = used.length;
  const checks = starts.length;
  const startDay = fromDay ?? (n > 0 ? readings.day[used[0]!]! : (endDay ?? 0));
  const life = {
    startDay,
    startKnown: fromDay !== null,
    endDay,
    checks,
    year: new Float64Array(checks),
    firstReading: new Int32Array([...starts, n]),
    coefficient: new Float64Array(checks),
    temperatureKnown: new Uint8Array(checks),
    effects: new Int32Array(0),
    effectStart: new Int32Array(checks + 1),
    effect: new Int32Array(0),
    factor: new Float64Array(0),
    span: new Float64Array(n),
    curvature: new Float64Array(n),
    friction: new Float64Array(n),
    error: new Float64Array(n),
    varianceFactor: new Float64Array(n),
    reading: used,
  };
  if (local.length < design.keys.length) local = new Int32Array(design.keys.length).fill(-1);
  const effects: number[] = [];
  const effect: number[] = [];
  const factor: number[] = [];
  const push = (global: number, value: number) => {
    if (local[global] === -1) local[global] = effects.push(global) - 1;
    effect.push(local[global]!);
    factor.push(value);
  };
  for (let k = 0; k < checks; k++) {
    const first = used[starts[k]!]!;
    const day = readings.day[first]!;
    const lot = readings.lot[first]!;
    const offset = readings.temperatureOffset[first]!;
    const coefficient = lot >= 0 ? design.coefficient[lot]! : 0;
    life.year[k] = Math.max(0, (day - startDay) / DAYS_A_YEAR);
    life.coefficient[k] = coefficient;
    life.temperatureKnown[k] = Number.isFinite(offset) ? 1 : 0;
    life.effectStart[k] = effect.length;
    appendEffects(
      design,
      {
        day,
        lot,
        site: readings.site[first]!,
        geometry: readings.geometry[first]!,
        operator: readings.operator[first]!,
      },
      push,
    );
    const correction = Number.isFinite(offset) ? coefficient * offset : 0;
    for (let r = starts[k]!; r < life.firstReading[k + 1]!; r++) {
      const i = used[r]!;
      const x = readings.torque[i]! / 100;
      life.span[r] = x;
      life.curvature[r] = curvatureLoading(x);
      life.friction[r] = frictionLoading(x);
      life.error[r] = readings.error[i]! - x * correction;
      life.varianceFactor[r] = readings.use[i] === USE.lowWeight ? LOW_WEIGHT_VARIANCE : 1;
    }
  }
  life.effectStart[checks] = effect.length;
  for (const global of effects) local[global] = -1;
  life.effects = new Int32Array(effects);
  life.effect = new Int32Array(effect);
  life.factor = new Float64Array(factor);
  return life;
}

/** Where each effect of the design stands among those of the life in hand; -1: not among them. */
let local = new Int32Array(0);

/** Which of some readings can be used, and where among them checks begin. */
function usableReadings({ use, error, torque, day, check }: UnitReadings, members: Int32Array) {
  const used = new Int32Array(members.length);
  const starts: number[] = [];
  let n = 0;
  for (let m = 0; m < members.length; m++) {
    const i = members[m]!;
    // The sum is finite where all three are.
    if (use[i] === USE.shownOnly || !Number.isFinite(error[i]! + torque[i]! + day[i]!)) continue;
    if (n === 0 || check[i] !== check[used[n - 1]!]) starts.push(n);
    used[n++] = i;
  }
  return { used: used.subarray(0, n), starts };
}

/** The life's errors with the shared effects taken away. Shape: one number a reading. Unit: % of full scale. */
export function withoutShared(life: LifeChecks, effectValue: ArrayLike<number>): Float64Array {
  const error = new Float64Array(life.error);
  for (let k = 0; k < life.checks; k++) {
    const shared = sharedAt(life, effectValue, k);
    for (let r = life.firstReading[k]!; r < life.firstReading[k + 1]!; r++)
      error[r]! -= shared * life.span[r]!;
  }
  return error;
}

/** What lots and baths add to check k. Unit: % of the reading. */
export function sharedAt(life: LifeChecks, effectValue: ArrayLike<number>, k: number): number {
  let shared = 0;
  for (let e = life.effectStart[k]!; e < life.effectStart[k + 1]!; e++) {
    shared += effectValue[life.effects[life.effect[e]!]!]! * life.factor[e]!;
  }
  return shared;
}
