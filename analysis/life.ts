import { type Service, type ServiceAction, STAGES, type UnitReadings } from "./fleet.ts";

/** The time of a unit between two adjusting services; drift starts afresh in each. */
export interface Life {
  /** Day of the service it began with; null: before the first one recorded. */
  readonly fromDay: number | null;
  /** Day of the service it ended with; null: it goes on. */
  readonly toDay: number | null;
  readonly startedBy: ServiceAction | null;
  /** Indices of the unit's readings that belong to it, in their order. */
  readonly readings: Int32Array;
}

const AS_FOUND = STAGES.indexOf("as_found");
const AS_LEFT = STAGES.indexOf("as_left");

/**
 * Cuts a unit's readings at its adjusting services (`adjusted`, `repaired`; `inspected` ends nothing).
 *
 * @remarks
 * Services are known by the day, checks to the second, so on the day of a service the stage decides: `as_found`
 * belongs to the life that ends, `as_left` to the one that begins, `routine` to the one that ends unless an
 * `as_left` check came before it. Because a service's date is the workshop's and a check's day is UTC's, the stage
 * also decides one day to either side. Lives without readings are kept: the last one is the present life.
 * One pass over readings and services.
 *
 * @param readings Columns sorted by time.
 * @param services In any order; several on one day count as one, begun by the last of them.
 * @returns At least one life, oldest first.
 */
export function cutLives(readings: UnitReadings, services: readonly Service[]): Life[] {
  const cuts = adjustingServices(services);
  const members: number[][] = Array.from({ length: cuts.length + 1 }, () => []);
  const seenAsLeft = new Array<boolean>(cuts.length + 1).fill(false);

  let passed = 0; // services whose day lies before the reading's own
  for (let i = 0; i < readings.count; i++) {
    const day = Math.floor(readings.day[i]!);
    while (passed < cuts.length && cuts[passed]!.day < day) passed++;
    const life = lifeByStage(cuts, passed, day, readings.stage[i]!, seenAsLeft);
    if (readings.stage[i] === AS_LEFT) seenAsLeft[life] = true;
    members[life]!.push(i);
  }

  return members.map((indices, k) => ({
    fromDay: cuts[k - 1]?.day ?? null,
    toDay: cuts[k]?.day ?? null,
    startedBy: cuts[k - 1]?.action ?? null,
    readings: new Int32Array(indices),
  }));
}

function adjustingServices(services: readonly Service[]): Service[] {
  const byDay = new Map<number, Service>();
  for (const { day, action } of [...services].sort((a, b) => a.day - b.day)) {
    if (action !== "inspected") byDay.set(Math.floor(day), { day: Math.floor(day), action });
  }
  return [...byDay.values()];
}

/** Index of the life: how many services lie before the reading, corrected by its stage around a service's day. */
function lifeByStage(
  cuts: readonly Service[],
  passed: number,
  day: number,
  stage: number,
  seenAsLeft: readonly boolean[],
): number {
  if (stage === AS_FOUND) {
    // As found on the morning after, by UTC, still tells of the life that ended, unless that day has its own service.
    const hasOwnService = cuts[passed]?.day === day;
    return !hasOwnService && cuts[passed - 1]?.day === day - 1 && !seenAsLeft[passed] ? passed - 1 : passed;
  }
  if (stage === AS_LEFT) {
    const next = cuts[passed]?.day;
    const isBeforeService = next === day || (next === day + 1 && cuts[passed - 1]?.day !== day - 1);
    return isBeforeService ? passed + 1 : passed;
  }
  return cuts[passed]?.day === day && seenAsLeft[passed + 1] ? passed + 1 : passed;
}
