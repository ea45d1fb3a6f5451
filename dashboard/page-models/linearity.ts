import type { UnitPaths, UnitState } from "../../analysis/index.ts";
import { dayOfIso } from "../assessment/days.ts";
import type { LinearityView, UnitView } from "../assessment/views.ts";
import { isOfLife, presentLifeStart } from "./lives.ts";

/** Error along the torque, as left, over this life, and today. Every error and tolerance in % of full scale. */
export interface Linearity {
  readonly state: UnitState;
  readonly asLeft: LinearityView | null;
  readonly life: LinearityView | null;
  /** The unit's own error today as the forecast knows it, with the band that holds it with 90 %; null: not judged. */
  readonly now: TorqueCurve | null;
  readonly tolerance: { readonly torque: readonly number[]; readonly tolerance: readonly number[] };
  /** Usable readings of the present life, lot and bath taken away. */
  readonly points: readonly {
    readonly torque: number;
    readonly error: number;
    readonly check: number;
    readonly day: number;
  }[];
  /** Where the picture ends above and below. */
  readonly reach: number;
}

/** A line along the torque and what is likely around it; all arrays of one length. */
export type TorqueCurve = LinearityView["curve"];

/** What the picture of the error along the torque shows of a unit. */
export function linearityOf(view: UnitView): Linearity {
  const lifeStartDay = presentLifeStart(view, dayOfIso(view.asOf));
  const points = view.readings.flatMap((reading) => {
    const { torque, errorWithoutSharedCauses: error, check, day, use } = reading;
    return use > 0 && error !== null && isOfLife(reading, lifeStartDay)
      ? [{ torque, error, check, day }]
      : [];
  });
  const now = view.paths && todaysCurve(view.paths.nowAlongTorque);
  const widest = Math.max(...view.toleranceAlongTorque.tolerance);
  const lines = [...(now?.mean ?? []), ...(view.linearity.asLeft?.curve.mean ?? [])];
  const furthest = Math.max(widest, ...lines.map(Math.abs), ...points.map(({ error }) => Math.abs(error)));
  return {
    state: view.forecast.state,
    asLeft: view.linearity.asLeft,
    life: view.linearity.life,
    now,
    tolerance: view.toleranceAlongTorque,
    points,
    // One wild reading must not flatten the rest: twice the tolerance is far enough.
    reach: Math.min(furthest, 2 * widest) * 1.12,
  };
}

function todaysCurve({ torque, p05, p50, p95 }: UnitPaths["nowAlongTorque"]): TorqueCurve {
  return { torque, mean: p50, lower: p05, upper: p95 };
}
