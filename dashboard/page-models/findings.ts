import { isoOfDay } from "../assessment/days.ts";
import { findingReport } from "../assessment/out-findings.ts";
import type { FindingView, ServiceFacts } from "../assessment/service-desk.ts";
import { HttpError } from "../errors.ts";
import type { FigureRow } from "../tables/csv.ts";

/** Every finding, the latest first; the page lists some at once. */
export interface FindingsPage {
  readonly asOf: string;
  readonly fromDay: number;
  readonly toDay: number;
  readonly findings: readonly FindingView[];
  readonly listed: readonly FindingView[];
  readonly page: number;
  readonly pages: number;
}

const ROWS_PER_PAGE = 50;

/**
 * @param asked The page that the address asks for.
 * @throws {HttpError} 400 for a page that there cannot be.
 */
export function findingsPage(
  { asOf, fromDay }: ServiceFacts,
  findings: readonly FindingView[],
  asked: unknown = undefined,
): FindingsPage {
  const toDay = Math.max(...findings.map(({ found }) => found.foundDay), Date.parse(asOf) / 86_400_000);
  const pages = Math.max(1, Math.ceil(findings.length / ROWS_PER_PAGE));
  const page = Math.min(pages, pageAsked(asked));
  const listed = findings.slice((page - 1) * ROWS_PER_PAGE, page * ROWS_PER_PAGE);
  return { asOf, fromDay, toDay, findings, listed, page, pages };
}

function pageAsked(asked: unknown): number {
  const page = asked === undefined ? 1 : Number(asked);
  if (Number.isSafeInteger(page) && page >= 1) return page;
  throw new HttpError(
    400,
    `There is no page \u201c${String(asked)}\u201d of the findings.`,
    "Pages are counted 1, 2, 3.",
  );
}

/** The day that tells a unit's findings apart: of the service, or of the check. */
export function findingDay({ found }: FindingView): string {
  return isoOfDay(found.servicedDay ?? found.foundDay);
}

export function findingAddress(finding: FindingView): string {
  return `/findings/${encodeURIComponent(finding.found.instrument)}/${findingDay(finding)}`;
}

/** @throws {HttpError} 404 where the unit was not found out on that day. */
export function findingAt(findings: readonly FindingView[], instrument: string, day: string): FindingView {
  const finding = findings.find((one) => one.found.instrument === instrument && findingDay(one) === day);
  if (finding !== undefined) return finding;
  throw new HttpError(
    404,
    `${instrument} was not found out of tolerance on ${day}, as far as is known.`,
    "The findings page lists every unit that was.",
  );
}

/** One finding flat, for CSV. */
export function findingFigures(finding: FindingView): FigureRow {
  const { left_tolerance: left, result_off_percent: _, record, ...rest } = findingReport(finding);
  return {
    ...rest,
    left_tolerance_p05: left?.p05 ?? null,
    left_tolerance_p50: left?.p50 ?? null,
    left_tolerance_p95: left?.p95 ?? null,
    record: record?.number ?? null,
    last_decision: record?.decisions.at(-1)?.decision ?? null,
    results_in_window: finding.doubted.length,
  };
}

/** One result of the window flat, for CSV and JSON. */
export function doubtedFigures({ result, off, leftBy }: FindingView["doubted"][number]): FigureRow {
  return {
    measured_at: new Date(result.measuredAtMs).toISOString(),
    sample: result.sample,
    viscosity_mpas: result.viscosityMPaS,
    torque_percent: result.torquePercent,
    p_out_by_then: leftBy,
    off_percent_p05: off?.p05 ?? null,
    off_percent_p50: off?.p50 ?? null,
    off_percent_p95: off?.p95 ?? null,
  };
}
