import { dayOfIso } from "../assessment/days.ts";
import type { StandingJudgement } from "../assessment/judgements.ts";
import type { UnitReading, UnitView } from "../assessment/views.ts";

/** Something that happened to a unit at about the time of a step. Never a cause by itself. */
export interface Happening {
  readonly what: "service" | "lot" | "geometry" | "operator" | "site";
  /** Its name; for a service its action. */
  readonly name: string;
}

const RECORDED = [
  ["lot", "fluidLot"],
  ["geometry", "geometry"],
  ["operator", "operator"],
  ["site", "site"],
] as const satisfies readonly (readonly [Happening["what"], keyof UnitReading])[];

/**
 * What happened between two checks: a service, and what the later check had about it that the earlier had not.
 *
 * @param fromDay Day of the last check before.
 * @param toDay Day of the first check after.
 */
export function happenedBetween(
  { readings, services }: Pick<UnitView, "readings" | "services">,
  fromDay: number,
  toDay: number,
): Happening[] {
  const before = readings.findLast(({ day }) => day <= fromDay + 1e-6);
  const after = readings.find(({ day }) => day >= toDay - 1e-6);
  const happened: Happening[] = services
    .filter(({ servicedAt }) => {
      const day = dayOfIso(servicedAt);
      return day >= Math.floor(fromDay) && day <= toDay;
    })
    .map(({ action }) => ({ what: "service", name: action }));
  if (before === undefined || after === undefined) return happened;
  for (const [what, key] of RECORDED) {
    const name = after[key];
    if (name !== null && before[key] !== null && name !== before[key]) happened.push({ what, name });
  }
  return happened;
}

/** The cause that somebody settled for a step between two checks, the latest one; null: nobody has. */
export function causeBetween(
  { judgements }: Pick<UnitView, "judgements">,
  fromDay: number,
  toDay: number,
): StandingJudgement | null {
  const settled = judgements.findLast(({ kind, onDay, undoneBy }) => {
    if (kind !== "step-cause" || onDay === null || undoneBy !== null) return false;
    const day = dayOfIso(onDay);
    return day >= Math.floor(fromDay) && day <= toDay;
  });
  return settled ?? null;
}
