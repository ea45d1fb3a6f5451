import { type BathAssessment, judgeBath, type LotVerdict } from "../../analysis/index.ts";
import { dayOfIso, isoOfDay } from "../assessment/days.ts";
import { fluidsReport } from "../assessment/fluids-report.ts";
import type { FluidsView } from "../assessment/views.ts";
import type { FigureRow } from "../tables/csv.ts";
import { byUrgency, type LotRow, lotRow } from "./fluid-lots.ts";

/** What units share: fluid lots and baths. */
export interface FluidsPage {
  readonly asOf: string;
  readonly asOfDay: number;
  /** The most urgent first. */
  readonly lots: readonly LotRow[];
  readonly baths: readonly BathRow[];
  /** Unit: K. */
  readonly allowedKelvin: number;
  readonly gaps: readonly FluidGap[];
  /** Units that used a lot that is not sound, each counted once. */
  readonly unitsSharing: number;
}

/** One site's bath over time. */
export interface BathRow {
  readonly site: string;
  readonly units: number;
  /** Oldest quarter first. */
  readonly quarters: readonly BathAssessment[];
  readonly latest: BathAssessment;
  readonly verdict: LotVerdict;
}

/** What cannot be told apart as things are. */
export type FluidGap =
  | { readonly kind: "lot-unjudged"; readonly fluidLot: string; readonly href: string }
  | { readonly kind: "bath-unjudged"; readonly site: string }
  | {
      readonly kind: "no-overlap";
      readonly fluidLot: string;
      readonly href: string;
      /** Where fewer units than are needed compare it with another lot. */
      readonly sites: readonly {
        readonly site: string | null;
        readonly units: number;
        readonly sideBySide: number;
      }[];
    };

/** Units of a site that should be checked with the old and the new lot, so that one stray unit does not decide. */
export const UNITS_TO_COMPARE = 3;

/** What the page of fluids and baths says. */
export function fluidsPage(view: FluidsView): FluidsPage {
  const asOfDay = dayOfIso(view.asOf);
  const lots = view.lots.map((lot) => lotRow(lot, asOfDay)).sort(byUrgency);
  const baths = bathRows(view);
  const doubted = new Set(lots.filter(isDoubted).map(({ fluidLot }) => fluidLot));
  return {
    asOf: view.asOf,
    asOfDay,
    lots,
    baths,
    allowedKelvin: view.allowedKelvin,
    gaps: gapsOf(lots, baths),
    unitsSharing: new Set(
      view.lots
        .filter(({ assessment }) => doubted.has(assessment.fluidLot))
        .flatMap(({ inFull }) => inFull.units.map(({ instrument }) => instrument)),
    ).size,
  };
}

/** Doubtful or unsound. */
export function isDoubted({ verdict }: { readonly verdict: LotVerdict }): boolean {
  return verdict === "doubtful" || verdict === "unsound";
}

function bathRows({ baths, allowedKelvin }: FluidsView): BathRow[] {
  return [...Map.groupBy(baths, ({ site }) => site)].map(([site, quarters]) => {
    const latest = quarters.at(-1)!;
    return { site, units: latest.units, quarters, latest, verdict: judgeBath(latest, allowedKelvin) };
  });
}

function gapsOf(lots: readonly LotRow[], baths: readonly BathRow[]): FluidGap[] {
  const gaps: FluidGap[] = lots
    .filter(({ verdict }) => verdict === "unjudged")
    .map(({ fluidLot, href }) => ({ kind: "lot-unjudged", fluidLot, href }));
  for (const { fluidLot, href, sites, inUse, verdict } of lots) {
    if (!inUse || verdict === "unjudged") continue;
    const lacking = sites.filter(({ sideBySide }) => sideBySide < UNITS_TO_COMPARE);
    if (lacking.length > 0) gaps.push({ kind: "no-overlap", fluidLot, href, sites: lacking });
  }
  for (const { site, verdict } of baths) {
    if (verdict === "unjudged") gaps.push({ kind: "bath-unjudged", site });
  }
  return gaps;
}

/** The page's figures for programs: those of `springtide fluids --json`, and what the page has beyond them. */
export function fluidsFigures(view: FluidsView, page: FluidsPage): Record<string, unknown> {
  const rowOf = new Map(page.lots.map((row) => [row.fluidLot, row]));
  const report = fluidsReport({
    asOfDay: page.asOfDay,
    lots: view.lots.map(({ assessment }) => assessment),
    baths: view.baths,
  });
  return {
    ...report,
    lots: report.lots.map((lot) => {
      const row = rowOf.get(lot.fluid_lot)!;
      return {
        ...lot,
        error_at_first_use_percent: row.errorAtFirst,
        certificate_uncertainty_percent: row.certifiedUncertainty,
        first_use: isoOfDay(row.firstDay),
        last_use: isoOfDay(row.lastDay),
        sites: row.sites.map(({ site, units, checks, sideBySide }) => ({
          site,
          units,
          checks,
          units_that_compare: sideBySide,
        })),
      };
    }),
    allowed_kelvin: page.allowedKelvin,
    not_told_apart: page.gaps.map(({ kind, ...gap }) => ({
      what: kind,
      ...("site" in gap ? { site: gap.site } : { fluid_lot: gap.fluidLot }),
      ...("sites" in gap ? { sites: gap.sites.map(({ site }) => site) } : {}),
    })),
  };
}

/** One row a lot. */
export function lotFigures(row: LotRow): FigureRow {
  return {
    fluid_lot: row.fluidLot,
    fluid_type: row.fluidType,
    certified_mpas: row.certifiedMPaS,
    certificate_uncertainty_percent: row.certifiedUncertainty,
    error_percent: row.error,
    error_sd: row.sd,
    error_at_first_use_percent: row.errorAtFirst,
    per_year_percent: row.perYear,
    verdict: row.verdict,
    units: row.units,
    checks: row.checks,
    sites: row.sites.map(({ site }) => site ?? "").join("; "),
    first_use: isoOfDay(row.firstDay),
    last_use: isoOfDay(row.lastDay),
    expires_on: row.expiresOnDay === null ? null : isoOfDay(row.expiresOnDay),
    note: row.note,
  };
}
