import { type Booking, type BookingProblem, canServe } from "./bookings.ts";

/** What stands in the way of a booking. */
export type Obstacle =
  | { readonly kind: "closed"; readonly week: number }
  | { readonly kind: "full"; readonly week: number; readonly capacity: number }
  | { readonly kind: "skill"; readonly skill: string }
  | {
      readonly kind: "site" | "geometry";
      readonly week: number;
      readonly site: string;
      readonly geometry: string | null;
      readonly awayAtOnce: number;
    };

/** How much room a plan leaves, kept up to date while units are booked one by one. */
export class Room {
  readonly #problem: BookingProblem;
  /** Units taken in, by workshop and week. */
  readonly #taken: Int32Array[];
  /** Units away, by rule and week. */
  readonly #away: Int32Array[];
  readonly #rulesOf: number[][];

  constructor(problem: BookingProblem) {
    this.#problem = problem;
    this.#taken = problem.workshops.map(() => new Int32Array(problem.weeks));
    this.#away = problem.cover.map(() => new Int32Array(problem.weeks));
    this.#rulesOf = problem.units.map(() => []);
    problem.cover.forEach(({ units }, rule) => {
      for (const unit of units) this.#rulesOf[unit]!.push(rule);
    });
  }

  /** Adds a unit's booking (`by` 1), or takes it back (-1). */
  count(unit: number, { week, workshop }: Booking, by: 1 | -1): void {
    this.#taken[workshop]![week]! += by;
    const last = Math.min(this.#problem.weeks, week + this.#problem.turnaroundWeeks);
    for (const rule of this.#rulesOf[unit]!) {
      for (let w = week; w < last; w++) this.#away[rule]![w]! += by;
    }
  }

  /** The first workshop that has room for the unit in a week, cover allowing; null where there is none. */
  find(unit: number, week: number): Booking | null {
    if (this.#coverObstacle(unit, week) !== null) return null;
    const workshop = this.#problem.workshops.findIndex(
      (shop, k) =>
        canServe(shop, this.#problem.units[unit]!) && this.#taken[k]![week]! < shop.capacity[week]!,
    );
    return workshop < 0 ? null : { week, workshop };
  }

  /** What keeps a unit from going in a week; null where it could go. */
  obstacle(unit: number, week: number): Obstacle | null {
    const { workshops, units } = this.#problem;
    const able = workshops.flatMap((shop, k) => (canServe(shop, units[unit]!) ? [k] : []));
    if (able.length === 0) return { kind: "skill", skill: units[unit]!.skill! };
    const capacity = able.reduce((sum, k) => sum + workshops[k]!.capacity[week]!, 0);
    if (capacity === 0) return { kind: "closed", week };
    if (able.every((k) => this.#taken[k]![week]! >= workshops[k]!.capacity[week]!)) {
      return { kind: "full", week, capacity };
    }
    return this.#coverObstacle(unit, week);
  }

  #coverObstacle(unit: number, week: number): Obstacle | null {
    const { cover, weeks, turnaroundWeeks } = this.#problem;
    const last = Math.min(weeks, week + turnaroundWeeks);
    for (const rule of this.#rulesOf[unit]!) {
      const { kind, site, geometry, awayAtOnce } = cover[rule]!;
      for (let w = week; w < last; w++) {
        if (this.#away[rule]![w]! >= awayAtOnce) return { kind, week: w, site, geometry, awayAtOnce };
      }
    }
    return null;
  }
}
