import type { LotUnit } from "../../analysis/index.ts";
import { type LotPage, type LotTally, standsApart, type UnitWordMark } from "../page-models/lot.ts";
import { date, monthAndYear } from "./dates.ts";
import {
  ageingText,
  errorText,
  isBeyondCertificate,
  lotKind,
  offText,
  VERDICT_LABEL,
  VERDICT_MEANING,
} from "./fluids.ts";
import { count, counted, decimal, listed, signed, THIN } from "./numbers.ts";
import type { Phrase } from "./phrase.ts";

/** Sentences of a fluid lot's page. */

/** "LOT-1005 reads 1.8 % above its certificate and rises 1.7 % a year: it is unsound, and 184 units share it." */
export function lotFinding({ lot }: LotPage): Phrase[] {
  const units = { text: counted(lot.units, "unit"), href: "#units" };
  const shared = [units, { text: ` ${lot.units === 1 ? "used" : "shared"} it.` }];
  if (lot.verdict === "unjudged")
    return [{ text: `${lot.fluidLot} cannot be told yet from the units that used it: ` }, ...shared];
  if (lot.verdict === "sound") {
    const how = isBeyondCertificate(lot)
      ? `reads ${offText(lot.error)} its certificate, more than that states but no more than a tolerance leaves the fluid`
      : "agrees with its certificate";
    return [{ text: `${lot.fluidLot} ${how}, by ` }, units, { text: " that used it." }];
  }
  const ageing = ageingText(lot);
  const changes = ageing === "does not change" ? "" : ` and ${ageing}`;
  return [
    { text: `${lot.fluidLot} reads ${offText(lot.error)} its certificate${changes}: it is ` },
    { text: VERDICT_LABEL[lot.verdict], href: "#age", state: lot.verdict === "unsound" ? "out" : "leaning" },
    { text: ", and " },
    ...shared,
  ];
}

/** "silicone, 523.9 mPa·s ± 0.5 % · at Aldermoor, Coldfen and Weir End · expires 4 Aug 2026". */
export function aboutLot({ lot, asOfDay }: LotPage): string {
  const certified =
    lot.certifiedUncertainty === null ? "" : ` \u00b1 ${decimal(lot.certifiedUncertainty, 1)}${THIN}%`;
  const parts = [`${lotKind(lot)}${certified}`];
  const names = lot.sites.flatMap(({ site }) => site ?? []);
  if (names.length > 0)
    parts.push(names.length > 6 ? `at ${count(names.length)} sites` : `at ${listed(names)}`);
  if (lot.expiresOnDay !== null)
    parts.push(`${lot.expiresOnDay < asOfDay ? "expired" : "expires"} ${date(lot.expiresOnDay)}`);
  return parts.join(" \u00b7 ");
}

export interface LotKeyFigure {
  readonly label: string;
  readonly value: string;
  readonly more: string;
}

/** The figures that a decision asks for. */
export function lotKeyFigures({ lot, tally }: LotPage): LotKeyFigure[] {
  return [
    { label: "Off its certificate", value: errorText(lot), more: `at its last use, ${date(lot.lastDay)}` },
    { label: "Verdict", value: VERDICT_LABEL[lot.verdict], more: VERDICT_MEANING[lot.verdict] },
    { label: "As it ages", value: ageingText(lot), more: `used since ${monthAndYear(lot.firstDay)}` },
    { label: "Checks that failed", value: count(tally.failed), more: failedMore(tally) },
  ];
}

function failedMore({ failed, failedByLot, checks }: LotTally): string {
  const of = `of ${counted(checks, "check")}`;
  return failed === 0 ? of : `${of}; ${count(failedByLot)} by the lot alone`;
}

/** What the lot did to verdicts, in a sentence or two. */
export function verdictsText({
  checks,
  failed,
  failedByLot,
  passedByLot,
  unitsFailedByLot,
  unitsPassedByLot,
}: LotTally): string {
  if (failed === 0 && passedByLot === 0)
    return `None of ${counted(checks, "check")} with it failed, and none would have without its error.`;
  const head = `${count(failed)} of ${counted(checks, "check")} with it failed as read.`;
  if (failedByLot === 0 && passedByLot === 0)
    return `${head} Without the lot\u2019s error the same ones would have.`;
  const parts = [
    ...(failedByLot > 0
      ? [`${count(failedByLot)} of them, by ${counted(unitsFailedByLot, "unit")}, would have passed`]
      : []),
    ...(passedByLot > 0
      ? [`${count(passedByLot)} that passed, by ${counted(unitsPassedByLot, "unit")}, would have failed`]
      : []),
  ];
  return `${head} Without the lot\u2019s error, ${listed(parts)}.`;
}

/** How far the units agree. */
export function agreementText(page: LotPage): string {
  const { units, tally, lot } = page;
  const { saying, apart } = tally;
  const all = counted(units.length, "unit");
  if (saying === 0) return `None of ${all} can tell by itself; together they say ${errorText(lot)}.`;
  const can = `${count(saying)} of ${all} can tell by ${saying === 1 ? "itself" : "themselves"}.`;
  const rest = apart === 0 ? "None of them stands apart from the rest." : apartText(page.tally);
  return `${can} ${rest}`;
}

function apartText({ apart, apartByChance }: LotTally): string {
  const who = counted(apart, "unit stands", "units stand");
  return apart <= Math.ceil(2 * apartByChance)
    ? `${who} apart from the rest, no more than chance would have.`
    : `${who} apart from the rest, more than chance would have: look at ${apart === 1 ? "that unit" : "those units"} first.`;
}

/** What one unit says of the lot. */
export function saysText({ says }: LotUnit): string {
  if (says === null) return "not asked";
  return `${signed(says.error, 2)} \u00b1 ${decimal(says.sd, 2)}${THIN}%`;
}

/** How that compares with the rest. */
export function agreesText(unit: LotUnit): string {
  if (unit.says === null) return "the lot was judged without it";
  if (standsApart(unit)) return `apart from the rest by ${decimal(Math.abs(unit.says.beside), 2)}${THIN}%`;
  return unit.sideBySide ? "agrees; saw another lot beside it" : "agrees";
}

/** What the lot did to a unit's verdicts. */
export function unitVerdictText({ failed, failedByLot, passedByLot }: LotUnit): string {
  const parts = [
    ...(failedByLot > 0 ? [`${count(failedByLot)} failed by the lot alone`] : []),
    ...(failed > failedByLot ? [`${count(failed - failedByLot)} failed either way`] : []),
    ...(passedByLot > 0 ? [`${count(passedByLot)} passed by the lot alone`] : []),
  ];
  return parts.length === 0 ? "passed either way" : listed(parts);
}

/** What a unit's word is beside the lot, read aloud. */
export function wordPictureAloud(unit: LotUnit): string {
  return unit.says === null
    ? "The unit was not asked."
    : `By itself it says ${signed(unit.says.error, 2)} percent, give or take ${decimal(unit.says.sd, 2)}; ${agreesText(unit)}.`;
}

export const AGE_CAPTION =
  "How far the lot is from its certificate, by all the units that share it; the band holds it with 90\u202f%. The deep water " +
  "is the certificate\u2019s uncertainty (k\u202f=\u202f2), the sand what lies beyond the fluid\u2019s share in a tolerance. Each mark is " +
  "one unit\u2019s own word, at the middle of its checks with the lot: its own error and drift are taken away, and of the lot " +
  "nothing is believed beforehand. A square stands apart from the rest.";

export const WORDS_CAPTION =
  "The surest first. In each picture the line is what all units say and the mark what this one says, with a bar that holds " +
  "it with 90\u202f%. A unit that has seen no other lot can hardly tell the lot from itself.";

/** The course in words. */
export function ageAloud({ lot, picture }: LotPage): string {
  return `Error of ${lot.fluidLot} from ${date(lot.firstDay)} to ${date(lot.lastDay)}: from ${signed(lot.errorAtFirst, 2)} to ${signed(lot.error, 2)} percent, give or take ${decimal(lot.sd, 2)}; ${counted(picture.words.length, "unit")} drawn.`;
}

/** What a unit's mark says in the picture. */
export function wordTip({ instrument, site, error, sd, apart }: UnitWordMark): string {
  const where = site === null ? "" : ` \u00b7 ${site}`;
  return `${instrument}${where}\n${signed(error, 2)} \u00b1 ${decimal(sd, 2)}${THIN}% by itself${apart ? "\napart from the rest" : ""}`;
}

/** What is to be done about the lot, one sentence each. */
export function lotSteps({ lot }: { readonly lot: Pick<LotPage["lot"], "verdict" | "inUse"> }): string[] {
  const { verdict, inUse } = lot;
  if (verdict === "sound") return ["Go on using it, and compare it with the next lot before it runs out."];
  if (verdict === "unjudged")
    return [
      "Check two more units with this lot and with another one on the same day: two fluids on one unit tell lot from unit.",
    ];
  const settle =
    "Check three units with this lot and with another one on the same day. If they differ by as much as is said here, it is the lot.";
  const supplier =
    "Compare the value that was entered with the certificate, then ask the supplier; a fresh bottle tells a spoilt one from a wrong value.";
  if (!inUse)
    return [
      "It is no longer in use. Its error has been taken away from every check made with it, so forecasts need nothing more.",
      supplier,
    ];
  return verdict === "unsound"
    ? ["Take it out of use for checks until that is settled.", settle, supplier]
    : [settle, supplier];
}
