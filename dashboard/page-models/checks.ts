import type { UnitReading, UnitView } from "../assessment/views.ts";
import { HttpError } from "../errors.ts";

/** Every check of one unit, newest first, a page of them at a time. */
export interface ChecksPage {
  readonly asOf: string;
  readonly instrument: string;
  readonly checks: number;
  readonly page: number;
  readonly pages: number;
  /** The readings of this page's checks. */
  readonly shown: readonly UnitReading[];
  readonly readings: readonly UnitReading[];
}

const CHECKS_PER_PAGE = 60;

/** @throws {HttpError} 404 for a page past the last. */
export function checksPage(view: UnitView, page: number): ChecksPage {
  const readings = newestFirst(view.readings);
  const checks = [...new Set(readings.map((reading) => reading.check))];
  const pages = Math.max(1, Math.ceil(checks.length / CHECKS_PER_PAGE));
  if (page > pages)
    throw new HttpError(
      404,
      `Page ${page} is past the last one.`,
      `There ${pages === 1 ? "is one page" : `are ${pages} pages`}.`,
    );
  const wanted = new Set(checks.slice((page - 1) * CHECKS_PER_PAGE, page * CHECKS_PER_PAGE));
  return {
    asOf: view.asOf,
    instrument: view.instrument.instrument,
    checks: checks.length,
    page,
    pages,
    shown: readings.filter((reading) => wanted.has(reading.check)),
    readings,
  };
}

/** Checks from the newest, their readings from low torque to high. */
export function newestFirst(readings: readonly UnitReading[]): UnitReading[] {
  return [...readings].sort((a, b) => b.check - a.check || a.torque - b.torque);
}
