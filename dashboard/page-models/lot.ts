import type { LotPath, LotUnit } from "../../analysis/index.ts";
import { dayOfIso, isoOfDay } from "../assessment/days.ts";
import type { FluidLotView, FluidsView } from "../assessment/views.ts";
import { HttpError } from "../errors.ts";
import type { FigureRow } from "../tables/csv.ts";
import { type LotRow, lotAddress, lotRow, Z_90 } from "./fluid-lots.ts";

/** One fluid lot: its error over its age, and which units say so. Errors in % of the certified value. */
export interface LotPage {
  readonly asOf: string;
  readonly asOfDay: number;
  readonly lot: LotRow;
  readonly picture: LotPicture;
  /** All units that used it: the surest of what they say first, those that cannot say last. */
  readonly units: readonly LotUnit[];
  /** Those on this part of the table. */
  readonly shown: readonly LotUnit[];
  readonly page: number;
  readonly pages: number;
  readonly tally: LotTally;
}

/** A lot's error over its age as a picture. */
export interface LotPicture {
  readonly fluidLot: string;
  readonly path: LotPath;
  readonly verdict: LotRow["verdict"];
  /** Half the height of the picture. */
  readonly reach: number;
  readonly certifiedUncertainty: number | null;
  readonly allowance: number;
  /** What single units say, those that can tell. */
  readonly words: readonly UnitWordMark[];
}

export interface UnitWordMark {
  readonly instrument: string;
  readonly site: string | null;
  readonly day: number;
  readonly error: number;
  readonly sd: number;
  readonly apart: boolean;
}

/** What the lot did to verdicts, and how its units agree. */
export interface LotTally {
  readonly checks: number;
  readonly failed: number;
  readonly failedByLot: number;
  readonly passedByLot: number;
  readonly unitsFailedByLot: number;
  readonly unitsPassedByLot: number;
  /** Units that can say something by themselves, those of them that stand apart from the rest, and that would by chance. */
  readonly saying: number;
  readonly apart: number;
  readonly apartByChance: number;
}

const ROWS_PER_PAGE = 25;
const MOST_MARKS = 250;
/** A unit that knows the lot no better than this by itself is not drawn: its mark would say nothing. Unit: %. */
const WORTH_DRAWING_SD = 0.5;
/** A unit further from the rest than this stands apart; of so many one does by chance. Unit: its word's standard deviations. */
const APART = 2.576;
const APART_BY_CHANCE = 0.01;
const SMALLEST_REACH = 1.6;

/**
 * What the page of one lot says.
 *
 * @param part The part of the table of units, from 1.
 * @throws {HttpError} 404 for a lot that no check used, or a part past the last.
 */
export function lotPage(view: FluidsView, fluidLot: string, part: number): LotPage {
  const found = view.lots.find(({ assessment }) => assessment.fluidLot === fluidLot);
  if (found === undefined) {
    throw new HttpError(
      404,
      `No check was made with a fluid lot called \u201c${fluidLot}\u201d.`,
      "The lots that were used are at /fluids.",
    );
  }
  const asOfDay = dayOfIso(view.asOf);
  const units = [...found.inFull.units].sort(bySurety);
  const pages = Math.max(1, Math.ceil(units.length / ROWS_PER_PAGE));
  if (part > pages) {
    throw new HttpError(
      404,
      `This table has ${pages === 1 ? "one page" : `${pages} pages`}; page ${part} is past its end.`,
      `The last page is at ${lotPartAddress(fluidLot, pages)}.`,
    );
  }
  const lot = lotRow(found, asOfDay);
  return {
    asOf: view.asOf,
    asOfDay,
    lot,
    picture: pictureOf(found, lot, units),
    units,
    shown: units.slice((part - 1) * ROWS_PER_PAGE, part * ROWS_PER_PAGE),
    page: part,
    pages,
    tally: tallyOf(units),
  };
}

/** The address of a part of a lot's table. */
export function lotPartAddress(fluidLot: string, part: number): string {
  return part > 1 ? `${lotAddress(fluidLot)}?page=${part}` : lotAddress(fluidLot);
}

/** Whether a unit says something else than the rest. */
export function standsApart({ says }: LotUnit): boolean {
  return says !== null && Math.abs(says.beside) > APART * says.sd;
}

function bySurety(a: LotUnit, b: LotUnit): number {
  return (a.says?.sd ?? Infinity) - (b.says?.sd ?? Infinity) || 0;
}

function pictureOf({ inFull }: FluidLotView, lot: LotRow, units: readonly LotUnit[]): LotPicture {
  const { path } = inFull;
  const words = units
    .flatMap((unit): UnitWordMark[] =>
      unit.says === null || unit.says.sd > WORTH_DRAWING_SD
        ? []
        : [
            {
              instrument: unit.instrument,
              site: unit.site,
              day: unit.meanDay,
              error: unit.says.error,
              sd: unit.says.sd,
              apart: standsApart(unit),
            },
          ],
    )
    .slice(0, MOST_MARKS);
  const ends = path.error.flatMap((error, i) => [error - Z_90 * path.sd[i]!, error + Z_90 * path.sd[i]!]);
  const reach = Math.max(
    SMALLEST_REACH,
    lot.allowance * 1.25,
    ...[...ends, ...words.map(({ error }) => error)].map((value) => Math.abs(value) * 1.08),
  );
  const { fluidLot, verdict, certifiedUncertainty, allowance } = lot;
  return { fluidLot, path, verdict, reach, certifiedUncertainty, allowance, words };
}

function tallyOf(units: readonly LotUnit[]): LotTally {
  const saying = units.filter(({ says }) => says !== null && says.sd <= WORTH_DRAWING_SD);
  const sum = (of: (unit: LotUnit) => number): number => units.reduce((total, unit) => total + of(unit), 0);
  return {
    checks: sum(({ checks }) => checks),
    failed: sum(({ failed }) => failed),
    failedByLot: sum(({ failedByLot }) => failedByLot),
    passedByLot: sum(({ passedByLot }) => passedByLot),
    unitsFailedByLot: units.filter(({ failedByLot }) => failedByLot > 0).length,
    unitsPassedByLot: units.filter(({ passedByLot }) => passedByLot > 0).length,
    saying: saying.length,
    apart: saying.filter(standsApart).length,
    apartByChance: saying.length * APART_BY_CHANCE,
  };
}

/** The lot's figures for programs. */
export function lotPageFigures(page: LotPage): Record<string, unknown> {
  const { lot, picture, tally } = page;
  return {
    as_of: page.asOf,
    fluid_lot: lot.fluidLot,
    error_percent: lot.error,
    error_sd: lot.sd,
    per_year_percent: lot.perYear,
    certificate_uncertainty_percent: lot.certifiedUncertainty,
    verdict: lot.verdict,
    note: lot.note,
    checks: tally.checks,
    checks_failed: tally.failed,
    checks_failed_by_the_lot: tally.failedByLot,
    checks_passed_by_the_lot: tally.passedByLot,
    course: picture.path.day.map((day, i) => ({
      on: isoOfDay(day),
      error_percent: picture.path.error[i],
      error_sd: picture.path.sd[i],
    })),
    units: page.units.map(lotUnitFigures),
  };
}

/** One row a unit that used the lot. */
export function lotUnitFigures(unit: LotUnit): FigureRow {
  return {
    instrument: unit.instrument,
    site: unit.site,
    checks: unit.checks,
    first_use: isoOfDay(unit.firstDay),
    last_use: isoOfDay(unit.lastDay),
    says_error_percent: unit.says?.error ?? null,
    says_sd: unit.says?.sd ?? null,
    beside_all_units_percent: unit.says?.beside ?? null,
    compares_with_another_lot: unit.sideBySide,
    checks_failed: unit.failed,
    checks_failed_by_the_lot: unit.failedByLot,
    checks_passed_by_the_lot: unit.passedByLot,
  };
}
