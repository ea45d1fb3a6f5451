import { type BathAssessment, type LotVerdict, SIDE_BY_SIDE_DAYS } from "../../analysis/index.ts";
import type { LotRow, LotSiteRow } from "../page-models/fluid-lots.ts";
import {
  type BathRow,
  type FluidGap,
  type FluidsPage,
  isDoubted,
  UNITS_TO_COMPARE,
} from "../page-models/fluids.ts";
import { date, monthAndYear } from "./dates.ts";
import {
  count,
  counted,
  countedInWords,
  decimal,
  listed,
  measured,
  sentenceCase,
  signed,
  THIN,
} from "./numbers.ts";
import type { Phrase } from "./phrase.ts";

/** Sentences of the page of fluids and baths. */

export const VERDICT_LABEL: Readonly<Record<LotVerdict, string>> = {
  sound: "sound",
  doubtful: "doubtful",
  unsound: "unsound",
  unjudged: "not judged",
};

/** One line each, for the key. */
export const VERDICT_MEANING: Readonly<Record<LotVerdict, string>> = {
  unsound: "surely further off than a tolerance leaves the fluid",
  doubtful: "may be further off than a tolerance leaves the fluid",
  unjudged: "too little is known to tell it from its units",
  sound: "within what a tolerance leaves the fluid",
};

/** "One lot of 22 reads 1.8 % above its certificate: 184 units share it. No bath is off by more than 0.2 K." */
export function fluidsHeadline(page: FluidsPage): Phrase[] {
  if (page.lots.length === 0) return [{ text: "No check with a fluid lot is on record yet." }];
  return [...lotsSentence(page), { text: " " }, ...bathsSentence(page)];
}

function lotsSentence({ lots, unitsSharing }: FluidsPage): Phrase[] {
  const off = lots.filter(isDoubted);
  const judged = lots.filter(({ verdict }) => verdict !== "unjudged").length;
  const worst = off[0];
  if (worst === undefined) {
    if (judged === 0) return [{ text: `None of ${counted(lots.length, "fluid lot")} can be judged yet.` }];
    const all =
      judged === 1
        ? "The one fluid lot that can be judged is"
        : `All ${counted(judged, "fluid lot")} that can be judged are`;
    return [{ text: `${all} within what a tolerance leaves the fluid.` }];
  }
  const shared = {
    text: counted(unitsSharing, "unit"),
    href: off.length === 1 ? `${worst.href}#units` : "#lots",
  };
  const state = worst.verdict === "unsound" ? ("out" as const) : ("leaning" as const);
  if (off.length === 1) {
    const doubt = worst.verdict === "unsound" ? "reads" : "may read";
    return [
      { text: `One lot of ${count(lots.length)}`, href: worst.href, state },
      { text: ` ${doubt} ${offText(worst.error)} its certificate: ` },
      shared,
      { text: ` ${unitsSharing === 1 ? "uses" : "share"} it.` },
    ];
  }
  return [
    {
      text: `${sentenceCase(countedInWords(off.length, "lot"))} of ${count(lots.length)}`,
      href: "#lots",
      state,
    },
    { text: " are off their certificates, " },
    { text: worst.fluidLot, href: worst.href, state },
    { text: ` by ${decimal(Math.abs(worst.error), 1)}${THIN}%: ` },
    shared,
    { text: " share them." },
  ];
}

function bathsSentence({ baths, allowedKelvin }: FluidsPage): Phrase[] {
  const off = baths.filter(isDoubted);
  const limit = `${decimal(allowedKelvin, 1)}${THIN}K`;
  if (baths.length === 0) return [];
  if (off.length === 0) {
    const judged = baths.filter(({ verdict }) => verdict === "sound").length;
    if (judged === 0) return [{ text: "No bath can be judged yet." }];
    return [
      {
        text:
          judged === baths.length
            ? `No bath is off by more than ${limit}.`
            : `No bath that can be judged is off by more than ${limit}.`,
      },
    ];
  }
  const [one] = off;
  if (off.length === 1)
    return [
      { text: `The bath of ${one!.site}`, href: "#baths", state: "leaning" },
      { text: ` ${one!.verdict === "unsound" ? "is" : "may be"} ${kelvinText(one!.latest.kelvin)}.` },
    ];
  return [
    {
      text:
        off.length > 3
          ? sentenceCase(countedInWords(off.length, "bath"))
          : `The baths of ${listed(off.map(({ site }) => site))}`,
      href: "#baths",
      state: "leaning",
    },
    { text: ` may be off by more than ${limit}.` },
  ];
}

/** "1.8 % above". */
export function offText(error: number): string {
  const size = `${decimal(Math.abs(error), Math.abs(error) < 0.95 ? 2 : 1)}${THIN}%`;
  return `${size} ${error >= 0 ? "above" : "below"}`;
}

/** "0.31 K too warm". */
export function kelvinText(kelvin: number): string {
  return `${decimal(Math.abs(kelvin), 2)}${THIN}K too ${kelvin >= 0 ? "warm" : "cold"}`;
}

/** "As of 31 Mar 2026 · 17 lots · 5 baths". */
export function fluidsRestOn({ asOfDay, lots, baths }: FluidsPage): string {
  const checks = lots.reduce((sum, lot) => sum + lot.checks, 0);
  return `As of ${date(asOfDay)} \u00b7 ${counted(lots.length, "lot")} in ${counted(checks, "check")} \u00b7 ${counted(baths.length, "bath")}`;
}

export const LOTS_CAPTION =
  "In each picture the middle is the certificate, the deep water its stated uncertainty (k\u202f=\u202f2), the sand what lies " +
  "beyond the fluid\u2019s share in a tolerance. The small dot is the lot at its first use, the sign is the lot now, and the soft bar " +
  "holds it with 90\u202f%. A lot above its certificate makes every unit read high.";

/** What kind of fluid a lot is. */
export function lotKind({ fluidType, certifiedMPaS }: LotRow): string {
  const type = fluidType === "mineral_oil" ? "mineral oil" : fluidType;
  const parts = [
    ...(type === null ? [] : [type]),
    ...(certifiedMPaS === null ? ["not registered"] : [`${measured(certifiedMPaS)}${THIN}mPa\u00b7s`]),
  ];
  return parts.join(", ");
}

/** "+1.81 ± 0.14 %". */
export function errorText({ error, sd }: Pick<LotRow, "error" | "sd">): string {
  return `${signed(error, 2)} \u00b1 ${decimal(sd, 2)}${THIN}%`;
}

/** A rate slower than this cannot be told from none. Unit: % a year. */
const HARDLY_AGES = 0.1;

/** How fast it changes. */
export function ageingText({ perYear }: Pick<LotRow, "perYear">): string {
  if (Math.abs(perYear) < HARDLY_AGES) return "does not change";
  return `${perYear > 0 ? "rises" : "falls"} ${decimal(Math.abs(perYear), 1)}${THIN}% a year`;
}

/** "5 sites: Aldermoor, Coldfen and 3 more". */
export function sitesText(sites: readonly LotSiteRow[]): string {
  const names = sites.map(({ site }) => site ?? "no site given");
  if (names.length <= 2) return listed(names);
  return `${names[0]} and ${count(names.length - 1)} more sites`;
}

/** When it was used. */
export function usedText({ firstDay, lastDay, inUse }: LotRow): string {
  return inUse
    ? `in use since ${monthAndYear(firstDay)}`
    : `${monthAndYear(firstDay)} to ${monthAndYear(lastDay)}`;
}

/** Whether it is surely further off than its certificate says it may be. */
export function isBeyondCertificate({ error, sd, certifiedUncertainty }: LotRow): boolean {
  return certifiedUncertainty !== null && Math.abs(error) - SURELY * sd > certifiedUncertainty;
}

/** The analysis' own measure for saying so in a lot's note. Unit: standard deviations. */
const SURELY = 2;

/** What to do about a lot, in a table row. */
export function lotStep(lot: LotRow, asOfDay: number): string {
  const { verdict, inUse, expiresOnDay } = lot;
  if (verdict === "unsound")
    return inUse
      ? "Take it out of use, and ask its supplier"
      : "No longer in use; look at what was decided with it";
  if (verdict === "doubtful")
    return inUse ? "Check it beside another lot, same day" : "No longer in use; keep it in mind";
  if (verdict === "unjudged") return "Check two units with it and another lot, same day";
  if (inUse && expiresOnDay !== null && expiresOnDay < asOfDay)
    return `Past its date, ${date(expiresOnDay)}: replace it`;
  if (!inUse) return "No longer in use";
  return isBeyondCertificate(lot) ? "Go on using it, and tell its supplier" : "Go on using it";
}

/** The picture of a lot, read aloud. */
export function lotPictureAloud(lot: LotRow): string {
  const uncertainty =
    lot.certifiedUncertainty === null
      ? "the certificate states no uncertainty"
      : `certificate plus or minus ${decimal(lot.certifiedUncertainty, 1)} percent`;
  return `Error ${signed(lot.error, 2)} percent, between ${decimal(lot.low, 2)} and ${decimal(lot.high, 2)}; at its first use ${decimal(lot.errorAtFirst, 2)}; ${uncertainty}; ${VERDICT_LABEL[lot.verdict]}.`;
}

export const BATHS_CAPTION =
  "How far the fluid is from what the site\u2019s thermometer says, quarter by quarter: the line is the estimate by all units " +
  "that use the bath, the band holds it with 90\u202f%, the water is what a check allows.";

/** "+0.04 ± 0.02 K". */
export function bathErrorText({ kelvin, kelvinSd }: Pick<BathAssessment, "kelvin" | "kelvinSd">): string {
  return `${signed(kelvin, 2)} \u00b1 ${decimal(kelvinSd, 2)}${THIN}K`;
}

/** What to do about a bath. */
export function bathStep({ verdict, latest }: BathRow): string {
  if (verdict === "sound") return "Nothing beyond the usual verification";
  if (verdict === "unjudged")
    return "Too few units share it: verify it with a calibrated thermometer in the fluid";
  return `Verify with a calibrated thermometer in the fluid: the checks say ${kelvinText(latest.kelvin)}`;
}

/** A site's bath over time, read aloud. */
export function bathPictureAloud({ quarters, latest, verdict }: BathRow): string {
  const values = quarters.map(({ kelvin }) => kelvin);
  return `${counted(quarters.length, "quarter")} from ${monthAndYear(quarters[0]!.fromDay)}: between ${signed(Math.min(...values), 2)} and ${signed(Math.max(...values), 2)} kelvin, lately ${signed(latest.kelvin, 2)}; ${VERDICT_LABEL[verdict]}.`;
}

/** What cannot be told apart, and the check that would settle it. */
export function gapText(gap: FluidGap): { readonly what: Phrase[]; readonly settle: string } {
  switch (gap.kind) {
    case "lot-unjudged":
      return {
        what: [
          { text: gap.fluidLot, href: gap.href },
          { text: " cannot be told from the units that used it." },
        ],
        settle: "Check two more units with it and with another lot, both on one day.",
      };
    case "bath-unjudged":
      return {
        what: [{ text: `The bath of ${gap.site} cannot be told from its units.` }],
        settle:
          "Put a calibrated thermometer in the fluid, and note what it says beside the bath\u2019s own.",
      };
    case "no-overlap": {
      const places = gap.sites.map(
        ({ site, units, sideBySide }) =>
          `${site ?? "no site"} (${count(sideBySide)} of ${counted(units, "unit")})`,
      );
      return {
        what: [
          { text: gap.fluidLot, href: gap.href },
          {
            text: ` has hardly been compared with another lot within ${SIDE_BY_SIDE_DAYS} days at ${listed(places)}.`,
          },
        ],
        settle: `Check ${UNITS_TO_COMPARE} units there with this lot and another one on one day.`,
      };
    }
  }
}

export const NEVER_TOLD_APART =
  "An error that all lots share, or all baths, shows in no comparison between them: only a fluid from another source, or a " +
  "calibrated thermometer in the fluid, can bring it to light.";

export const OVERLAP_ADVICE =
  `Before a lot runs out, check ${UNITS_TO_COMPARE} units at each site with the old and the new lot on the same day, and do ` +
  "not change the lot at all sites at once. A change of lot is then never taken for drift.";

export const NOT_TO_A_LOT =
  "Do not adjust instruments to a lot. What a lot is off by has been taken away before a unit is judged here; the recorded " +
  "verdict of a check stays what your procedure says.";
