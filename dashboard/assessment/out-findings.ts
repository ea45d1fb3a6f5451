import {
  type FleetFigures,
  type FoundOut,
  foundOut,
  type ResultOff,
  type SinceWhen,
  STAGES,
  sinceWhenFound,
} from "../../analysis/index.ts";
import { isClosed, type OutFinding, type ResultRecord, type Store } from "../../ingest/index.ts";
import { DAY_MS, isoOfDay } from "./days.ts";
import type { LoadedFleet } from "./load-fleet.ts";

/** One unit found out of tolerance, since when, and what people decided about it. */
export interface OutFindingView {
  readonly found: FoundOut;
  /** null: its checks cannot tell. */
  readonly since: SinceWhen | null;
  /** null: nobody has recorded it. */
  readonly record: OutFinding | null;
  readonly isClosed: boolean;
}

/** What of a window can be handed from thread to thread. */
export type ToldSince = Omit<SinceWhen, "offAt">;
export type ToldFinding = Omit<OutFindingView, "since"> & { readonly since: ToldSince | null };

/** One result that was measured while the unit may have been out, with what it may be off by. */
export interface DoubtedResult {
  readonly result: ResultRecord;
  /** null: its torque was not recorded. */
  readonly off: ResultOff | null;
  /** Probability that the unit had left tolerance by then. */
  readonly leftBy: number;
}

/** A unit found out, and since when; nobody's decisions yet. */
export type FoundWindow = Pick<OutFindingView, "found" | "since">;

/**
 * Every unit found out, the latest first, with its window.
 *
 * @param outNow Units that the forecast calls out now.
 * @param fromDay Findings of services from this day on.
 */
export function foundWindows(
  loaded: LoadedFleet,
  figures: FleetFigures,
  outNow: ReadonlySet<string>,
  fromDay: number,
): FoundWindow[] {
  return foundOut(loaded.fleet, outNow, fromDay).map((found) => windowOf(loaded, figures, found));
}

/** A unit found out with its window; as long as it is held, so are all the ways that its life may have gone. */
export function windowOf({ fleet }: LoadedFleet, figures: FleetFigures, found: FoundOut): FoundWindow {
  const unit = fleet.units.find(({ instrument }) => instrument === found.instrument)!;
  return { found, since: sinceWhenFound(unit, found.servicedDay, fleet, figures) };
}

/** The same with what people had recorded and decided by an instant. */
export function withRecords<Window extends { readonly found: FoundOut }>(
  windows: readonly Window[],
  records: readonly OutFinding[],
  untilMs: number,
): (Window & Pick<OutFindingView, "record" | "isClosed">)[] {
  const known = knownAt(records, untilMs);
  return windows.map((window) => {
    const record = known.findLast((r) => isOf(r, window.found)) ?? null;
    return { ...window, record, isClosed: record !== null && isClosed(record) };
  });
}

/** What had been recorded and decided by an instant. */
function knownAt(records: readonly OutFinding[], untilMs: number): OutFinding[] {
  return records
    .filter(({ openedAtMs }) => openedAtMs <= untilMs)
    .map((record) => ({
      ...record,
      decisions: record.decisions.filter(({ decidedAtMs }) => decidedAtMs <= untilMs),
    }));
}

/** A record is of the service that found the unit, or of its present life where checks did: never of an earlier one. */
function isOf({ instrument, foundOn }: OutFinding, found: FoundOut): boolean {
  if (instrument !== found.instrument) return false;
  const { servicedDay, lifeFromDay, foundDay } = found;
  if (foundOn === isoOfDay(servicedDay ?? foundDay)) return true;
  if (servicedDay !== null || foundOn > isoOfDay(foundDay)) return false;
  return lifeFromDay === null || foundOn > isoOfDay(lifeFromDay);
}

/** One check of the window: what it read at its worst, and what the unit itself was off by then. */
export interface DoubtedCheck {
  readonly day: number;
  /** Largest error over tolerance of its readings, as read, and the torque of that reading in % of full scale. */
  readonly worst: number;
  readonly torquePercent: number;
  readonly off: ResultOff;
  /** Probability that the unit had left tolerance by then. */
  readonly leftBy: number;
}

const AS_LEFT = STAGES.indexOf("as_left");

/** The checks made from the earliest credible day until the unit was found, oldest first; as-left ones come after. */
export function doubtedChecks({ fleet }: LoadedFleet, { found, since }: FoundWindow): DoubtedCheck[] {
  if (since?.left == null) return [];
  const { readings } = fleet.units.find(({ instrument }) => instrument === found.instrument)!;
  const checks = new Map<number, DoubtedCheck>();
  for (let i = 0; i < readings.count; i++) {
    const day = readings.day[i]!;
    const torquePercent = readings.torque[i]!;
    const isWithin = day >= Math.floor(since.left.p05) && day < found.foundDay + 1;
    if (!isWithin || readings.stage[i] === AS_LEFT || !(torquePercent > 0)) continue;
    const worst = Math.abs(readings.error[i]! / readings.tolerance[i]!);
    if (worst <= (checks.get(readings.check[i]!)?.worst ?? -1)) continue;
    checks.set(readings.check[i]!, {
      day,
      worst,
      torquePercent,
      off: since.offAt(day, torquePercent),
      leftBy: leftBy(since, day),
    });
  }
  return [...checks.values()];
}

/** The results measured from the earliest credible day until the unit was found, oldest first. */
export async function doubtedResults(store: Store, window: FoundWindow): Promise<DoubtedResult[]> {
  const { since } = window;
  if (since === null) return [];
  return (await resultsInWindow(store, window)).map((result) => {
    const day = result.measuredAtMs / DAY_MS;
    const torque = result.torquePercent;
    return {
      result,
      off: torque !== null && torque > 0 ? since.offAt(day, torque) : null,
      leftBy: leftBy(since, day),
    };
  });
}

/** The same as they stand in the store. */
export async function resultsInWindow(
  store: Store,
  { found, since }: { readonly found: FoundOut; readonly since: ToldSince | null },
): Promise<readonly ResultRecord[]> {
  if (since?.left == null) return [];
  return store.results(
    found.instrument,
    Math.floor(since.left.p05) * DAY_MS,
    Math.ceil(found.foundDay + 1) * DAY_MS,
  );
}

/** By straight lines between the days at which it was worked out. */
function leftBy({ course }: SinceWhen, day: number): number {
  const after = course.day.findIndex((d) => d >= day);
  if (after <= 0) return after === 0 ? course.leftBy[0]! : course.leftBy.at(-1)!;
  const [from, to] = [course.day[after - 1]!, course.day[after]!];
  const share = (day - from) / (to - from);
  return course.leftBy[after - 1]! + share * (course.leftBy[after]! - course.leftBy[after - 1]!);
}

/** One finding for JSON. Days as ISO dates, errors in % of a result. */
export function findingReport({ found, since, record, isClosed: closed }: ToldFinding) {
  return {
    instrument: found.instrument,
    site: found.site,
    found_by: found.servicedDay === null ? "checks" : "service",
    found_on: isoOfDay(found.servicedDay ?? found.foundDay),
    worst_error_over_tolerance: found.worst,
    ...windowReport(since),
    record: record && {
      number: record.id,
      opened_at: new Date(record.openedAtMs).toISOString(),
      by: record.by,
      why: record.why,
      decisions: record.decisions.map((decision) => ({
        decided_at: new Date(decision.decidedAtMs).toISOString(),
        by: decision.by,
        decision: decision.decision,
        why: decision.why,
      })),
    },
    closed,
  };
}

/** One check of the window flat, for JSON. */
export function checkReport({ day, worst, torquePercent, off, leftBy: p }: DoubtedCheck) {
  return {
    checked_on: isoOfDay(day),
    worst_error_over_tolerance: worst,
    torque_percent: torquePercent,
    p_out_by_then: p,
    off_percent_p05: off.p05,
    off_percent_p50: off.p50,
    off_percent_p95: off.p95,
  };
}

/** One result of the window for JSON. Units: mPa·s, % of full scale, % of the result. */
export function resultReport({ result, off, leftBy }: DoubtedResult) {
  return {
    measured_at: new Date(result.measuredAtMs).toISOString(),
    sample: result.sample,
    viscosity_mpas: result.viscosityMPaS,
    torque_percent: result.torquePercent,
    p_out_by_then: leftBy,
    off_percent: off && { p05: off.p05, p50: off.p50, p95: off.p95 },
  };
}

/** The window for JSON, also as it is kept with a record. */
export function windowReport(since: ToldSince | null) {
  const iso = (day: number | null | undefined) => (day == null ? null : isoOfDay(day));
  return {
    left_tolerance: since?.left
      ? { p05: iso(since.left.p05), p50: iso(since.left.p50), p95: iso(since.left.p95) }
      : null,
    chance_out: since?.chanceOut ?? null,
    life_began: iso(since?.lifeFromDay),
    last_sound_check: iso(since?.lastSoundDay),
    first_unsound_check: iso(since?.firstUnsoundDay),
    result_off_percent: (since?.offNow ?? []).map(({ torquePercent, p05, p50, p95 }) => ({
      torque_percent: torquePercent,
      p05,
      p50,
      p95,
    })),
  };
}
