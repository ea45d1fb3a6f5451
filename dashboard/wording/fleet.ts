import type { LotAssessment, PatternName, UnitState } from "../../analysis/index.ts";
import type { FleetPicture, FleetStroke } from "../page-models/fleet-picture.ts";
import { isAtRisk, type SortKey, type StateFilter } from "../page-models/fleet-query.ts";
import type { Lane } from "../page-models/lanes.ts";
import type { SiteRow, StateCounts } from "../page-models/sites.ts";
import type { TodayPage } from "../page-models/today.ts";
import type { UnitRow } from "../page-models/unit-row.ts";
import type { UnitsPage } from "../page-models/units.ts";
import { date, distance } from "./dates.ts";
import { count, counted, decimal, percent, share, signed, THIN } from "./numbers.ts";
import { BAND_LABEL, PATTERN_LABEL, STATE_LABEL } from "./states.ts";

/** Sentences and labels about the fleet, its sites and its lots. */

export function restsOn(page: TodayPage): string {
  const sites = counted(page.sites.length, "site");
  const from = [page.readings === null ? sites : `${counted(page.readings, "reading")} from ${sites}`];
  if (page.quarantined !== null && page.quarantined > 0)
    from.push(`${counted(page.quarantined, "row")} held back`);
  if (page.states.unjudged > 0) from.push(`${counted(page.states.unjudged, "unit")} not judged`);
  return `As of ${date(page.asOfDay)} \u00b7 ${from.join(" \u00b7 ")}`;
}

const USAGE: ReadonlyMap<string, string> = new Map([
  ["several_shifts", "used in several shifts"],
  ["daily", "used daily"],
  ["weekly", "used weekly"],
  ["occasional", "used now and then"],
]);

/** "Ashmere · used daily". */
export function whereAndHowUsed(site: string | null, usage: string | null): string {
  const parts = [site ?? "no site given"];
  if (usage !== null) parts.push(USAGE.get(usage) ?? usage);
  return parts.join(" \u00b7 ");
}

/** A probability in a table cell; a dash where it is not judged. */
export function chanceText(chance: number | null): string {
  return chance === null ? "\u2013" : percent(chance);
}

/** Where the unit leaves tolerance and how, in a table cell: the band, and the pattern below it. */
export function whereItLeaves(row: UnitRow): { readonly band: string; readonly pattern: string | null } {
  return {
    band: row.band === null ? "no band judged" : BAND_LABEL[row.band],
    pattern: PATTERN_LABEL[row.pattern],
  };
}

/** When the service is due, and how far away that is. */
export function dueText(dueDay: number | null, asOfDay: number): { date: string; distance: string } {
  if (dueDay === null) return { date: "not set", distance: "no service date" };
  const away = distance(dueDay, asOfDay);
  return { date: date(dueDay), distance: dueDay < asOfDay ? `was due ${away}` : away };
}

/** When it was last checked. */
export function lastCheckText(lastCheckDay: number | null, overdue: boolean, asOfDay: number): string {
  if (lastCheckDay === null) return "never checked";
  const text = `checked ${distance(lastCheckDay, asOfDay)}`;
  return overdue ? `${text}, overdue` : text;
}

/** The three bands read aloud, for those who do not see the picture. */
export function lanesAloud(lanes: readonly Lane[]): string {
  const bands = lanes.map(({ band, now, atService, low, high, state }) => {
    const range = `between ${decimal(low, 1)} and ${decimal(high, 1)}`;
    return `${BAND_LABEL[band]}: ${decimal(now, 2)} today, ${decimal(atService, 2)} at service, ${range}, ${STATE_LABEL[state]}`;
  });
  return `Error over tolerance, 1 being the limit. ${bands.join(". ")}.`;
}

export const FLEET_PICTURE_CAPTION =
  "Each stroke is one unit on the date of its next service: from where its worst band stands today to where it is " +
  "expected then. The water is inside tolerance; beyond the banks the scale is folded, so that nothing is out of sight.";

export const LANES_CAPTION =
  "In each picture, from the top: low, medium and high torque. The small dot is today, the sign is what is expected at " +
  "the service, and the soft bar holds 90\u202f% of it.";

/** The fleet's picture in words. */
export function fleetPictureAloud(picture: FleetPicture, states: StateCounts): string {
  const said = (["out", "heading-out", "leaning", "steady"] as const)
    .filter((state) => states[state] > 0)
    .map((state) => `${count(states[state])} ${STATE_LABEL[state]}`);
  const missing = picture.notPlaced > 0 ? ` ${counted(picture.notPlaced, "unit")} cannot be placed.` : "";
  return `Every unit at its next service: ${said.join(", ")}. The table below names them.${missing}`;
}

/** Stands below those past their service date. */
export const PAST_DUE = "past due";

/** What a mark of the live picture says. */
export function fleetMarkTip({ instrument, site, state, chance, dueDay, band }: FleetStroke): string {
  const where = site === null ? "" : ` \u00b7 ${site}`;
  return `${instrument}${where}\n${STATE_LABEL[state]}, ${percent(chance)} before its service on ${date(dueDay)}\n${BAND_LABEL[band]}`;
}

/** What the picture leaves out or draws together; null where every unit has its own mark. */
export function pictureNote(picture: FleetPicture): string | null {
  const heaped = picture.heaps.reduce((sum, heap) => sum + heap.units, 0);
  const { pastDue } = picture;
  const notes = [
    ...(pastDue > 0
      ? [
          `${counted(pastDue, "unit is past its", "units are past their")} service date, side by side on the left.`,
        ]
      : []),
    ...(heaped > 0
      ? [`${counted(heaped, "unit is", "units are")} drawn together, a mark the larger the more there are.`]
      : []),
    ...(picture.notPlaced > 0 ? [notPlacedText(picture)] : []),
  ];
  return notes.length > 0 ? notes.join(" ") : null;
}

function notPlacedText(picture: FleetPicture): string {
  return `${counted(picture.notPlaced, "unit is", "units are")} not drawn: not judged, or without a service date.`;
}

export const FILTER_LABEL: Readonly<Record<StateFilter, string>> = {
  "at-risk": "out or heading out",
  out: STATE_LABEL.out,
  "heading-out": STATE_LABEL["heading-out"],
  leaning: STATE_LABEL.leaning,
  steady: STATE_LABEL.steady,
  unjudged: STATE_LABEL.unjudged,
  overdue: "overdue for a check",
};

/** A pattern as something to choose by. */
export function patternChoice(pattern: PatternName): string {
  return PATTERN_LABEL[pattern] ?? "nothing to speak of";
}

/** In what order a table is: as it comes, and turned round. */
const SORT_LABEL: Readonly<Record<SortKey, readonly [string, string]>> = {
  chance: ["the likeliest to leave tolerance first", "the likeliest to leave tolerance last"],
  due: ["the next service first", "the next service last"],
  unit: ["by name", "by name, from the last"],
  site: ["site by site", "site by site, from the last"],
  checked: ["the longest unchecked first", "the latest checked first"],
};

/** The head of the units' page: "13 units at Weir End are heading out", and in what order. */
export function unitsHeading({ query, selected }: UnitsPage): string {
  const at = query.site === null ? "" : ` at ${query.site}`;
  const does = query.pattern === null ? "" : `: ${patternChoice(query.pattern)}`;
  if (query.state === null) return `${counted(selected.length, "unit")}${at}${does}`;
  if (selected.length === 0) return `No unit${at} is ${FILTER_LABEL[query.state]}${does}`;
  return `${counted(selected.length, "unit")}${at} ${selected.length === 1 ? "is" : "are"} ${FILTER_LABEL[query.state]}${does}`;
}

/** In what order the table is. */
export function unitsOrder({ query }: UnitsPage): string {
  return `In order: ${SORT_LABEL[query.sort][query.turned ? 1 : 0]}.`;
}

/** "6 at risk, 4 leaning": what stands out at a site, the steady ones left unsaid. */
export function siteStates({ states, units }: SiteRow): string {
  const atRisk = (Object.keys(states) as UnitState[])
    .filter(isAtRisk)
    .reduce((sum, state) => sum + states[state], 0);
  const parts: string[] = [];
  if (atRisk > 0) parts.push(`${count(atRisk)} at risk`);
  if (states.leaning > 0) parts.push(`${count(states.leaning)} leaning`);
  if (states.unjudged > 0) parts.push(`${count(states.unjudged)} not judged`);
  if (units === 0) return "no units";
  return parts.length > 0 ? parts.join(", ") : "all steady";
}

/** How many of a site's checks came in time. */
export function checksOnTimeText({ checksOnTime, behind }: SiteRow): string {
  if (checksOnTime === null) return "no checks";
  return behind ? `${share(checksOnTime)}, behind` : share(checksOnTime);
}

/** How well a site's checks agree with the check before. */
export function scatterText({ scatter }: SiteRow): string {
  return scatter === null ? "not known" : `${decimal(scatter.percentFs, 2)}${THIN}% of full scale`;
}

/** How far a site's bath is from what its thermometer says. */
export function bathText({ bath }: SiteRow): string {
  if (bath === null) return "not known";
  return `${signed(bath.kelvin, 2)} \u00b1 ${decimal(bath.sd, 2)}${THIN}K`;
}

/** "reads 1.8 % high by 120 units, give or take 0.2 %". */
export function lotText(lot: LotAssessment): string {
  const size = `${decimal(Math.abs(lot.errorPercent), 1)}${THIN}%`;
  const way = lot.errorPercent > 0 ? "above" : "below";
  return `is ${size} ${way} its certificate, give or take ${decimal(lot.errorSd, lot.errorSd < 0.1 ? 2 : 1)}${THIN}%, by ${counted(lot.units, "unit")} and ${counted(lot.checks, "check")}`;
}
