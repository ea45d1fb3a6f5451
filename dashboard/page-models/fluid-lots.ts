import type { LotUnit, LotVerdict, UnitState } from "../../analysis/index.ts";
import { dayOfIso } from "../assessment/days.ts";
import type { FluidLotView } from "../assessment/views.ts";

/** One fluid lot as a line of a table. Errors in % of the certified value. */
export interface LotRow {
  readonly fluidLot: string;
  readonly href: string;
  readonly fluidType: string | null;
  readonly certifiedMPaS: number | null;
  readonly expiresOnDay: number | null;
  readonly verdict: LotVerdict;
  /** At its last use, with its standard deviation, and the middle 90 %. */
  readonly error: number;
  readonly sd: number;
  readonly low: number;
  readonly high: number;
  /** At its first use. */
  readonly errorAtFirst: number;
  readonly perYear: number;
  /** k = 2, as certified; null where not certified. */
  readonly certifiedUncertainty: number | null;
  /** What the usual tolerance leaves the fluid: its share, or its certificate's uncertainty where that is more. */
  readonly allowance: number;
  readonly units: number;
  readonly checks: number;
  readonly sites: readonly LotSiteRow[];
  readonly firstDay: number;
  readonly lastDay: number;
  readonly inUse: boolean;
  readonly note: string | null;
}

/** One site's use of a lot. */
export interface LotSiteRow {
  readonly site: string | null;
  readonly units: number;
  readonly checks: number;
  /** Units that were checked with this and another lot so close together that they compare the two. */
  readonly sideBySide: number;
}

/** The signs of the states serve the verdicts too: a square is out, a dashed circle not judged. */
export const VERDICT_STATE: Readonly<Record<LotVerdict, UnitState>> = {
  unsound: "out",
  doubtful: "leaning",
  unjudged: "unjudged",
  sound: "steady",
};

/** 5 and 95 % of a normal distribution. */
export const Z_90 = 1.645;

/** The fluid's share in the usual tolerance: common practice, no source. Unit: % of the certified value. */
const USUAL_ALLOWANCE = 1;

/** A lot not used for this long is taken to be finished. Unit: days. */
const IN_USE_DAYS = 62;

/** What needs a person first. */
export const LOT_URGENCY: readonly LotVerdict[] = ["unsound", "doubtful", "unjudged", "sound"];

/** Whether a lot last used on a day still counts as in use. */
export function isInUse(lastUseDay: number, asOfDay: number): boolean {
  return asOfDay - lastUseDay <= IN_USE_DAYS;
}

/** The address of a lot's page. */
export function lotAddress(fluidLot: string): string {
  return `/fluids/${encodeURIComponent(fluidLot)}`;
}

/** One lot as a line of a table. */
export function lotRow({ assessment, inFull, certificate }: FluidLotView, asOfDay: number): LotRow {
  const { fluidLot, errorPercent, errorSd, perYearPercent, verdict, note } = assessment;
  const { units, path } = inFull;
  const lastDay = Math.max(...units.map((unit) => unit.lastDay));
  const certifiedUncertainty = certificate?.expandedUncertaintyPercent ?? null;
  return {
    fluidLot,
    href: lotAddress(fluidLot),
    fluidType: certificate?.fluidType ?? null,
    certifiedMPaS: certificate?.certifiedMPaS ?? null,
    expiresOnDay: certificate?.expiresOn ? dayOfIso(certificate.expiresOn) : null,
    verdict,
    error: errorPercent,
    sd: errorSd,
    low: errorPercent - Z_90 * errorSd,
    high: errorPercent + Z_90 * errorSd,
    errorAtFirst: path.error[0] ?? errorPercent,
    perYear: perYearPercent,
    certifiedUncertainty,
    allowance: Math.max(USUAL_ALLOWANCE, certifiedUncertainty ?? 0),
    units: assessment.units,
    checks: assessment.checks,
    sites: lotSites(units),
    firstDay: Math.min(...units.map((unit) => unit.firstDay)),
    lastDay,
    inUse: isInUse(lastDay, asOfDay),
    note,
  };
}

/** The most urgent first; of one verdict those in use before those finished, then the furthest off. */
export function byUrgency(a: LotRow, b: LotRow): number {
  return (
    LOT_URGENCY.indexOf(a.verdict) - LOT_URGENCY.indexOf(b.verdict) ||
    Number(b.inUse) - Number(a.inUse) ||
    Math.abs(b.error) - Math.abs(a.error)
  );
}

function lotSites(units: readonly LotUnit[]): LotSiteRow[] {
  return [...Map.groupBy(units, ({ site }) => site)]
    .map(([site, own]) => ({
      site,
      units: own.length,
      checks: own.reduce((sum, { checks }) => sum + checks, 0),
      sideBySide: own.filter(({ sideBySide }) => sideBySide).length,
    }))
    .sort((a, b) => b.checks - a.checks);
}
