import type { UnitState } from "../../analysis/index.ts";
import { dayOfIso } from "../assessment/days.ts";
import type { LinearityView, UnitView } from "../assessment/views.ts";
import { isOfLife, presentLifeStart } from "./lives.ts";

/** Error along the torque, as left and now. Every error and tolerance in % of full scale. */
export interface Linearity {
  readonly state: UnitState;
  readonly now: LinearityView | null;
  readonly asLeft: LinearityView | null;
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

export function linearityOf(view: UnitView): Linearity {
  const lifeStartDay = presentLifeStart(view, dayOfIso(view.asOf));
  const points = view.readings.flatMap((reading) => {
    const { torque, errorWithoutSharedCauses: error, check, day, use } = reading;
    return use > 0 && error !== null && isOfLife(reading, lifeStartDay)
      ? [{ torque, error, check, day }]
      : [];
  });
  const widest = Math.max(...view.toleranceAlongTorque.tolerance);
  const furthest = points.reduce((most, point) => Math.max(most, Math.abs(point.error)), widest);
  return {
    state: view.forecast.state,
    now: view.linearity.now,
    asLeft: view.linearity.asLeft,
    tolerance: view.toleranceAlongTorque,
    points,
    // One wild reading must not flatten the rest: twice the tolerance is far enough.
    reach: Math.min(furthest, 2 * widest) * 1.12,
  };
}
