import type {
  DigestContent,
  LotDigest,
  LotTurned,
  NoticeContent,
  SiteDigest,
  TurnedContent,
  UnitTurned,
} from "../notices/content.ts";
import { FLUIDS_WITH_CARE, FORECASTS_ARE_NOT_CONFORMITY, OUT_OF_USE } from "./cautions.ts";
import { dateOfIso } from "./dates.ts";
import { offText, VERDICT_LABEL } from "./fluids.ts";
import { lotSteps } from "./lot.ts";
import { NEXT_STEP } from "./next-steps.ts";
import { counted, countedInWords, decimal, listed, percent, sentenceCase } from "./numbers.ts";
import { weekName } from "./returns.ts";
import { BAND_LABEL, STATE_LABEL } from "./states.ts";

/** What notices say: the finding first, then how sure it is, what to do, and the caution. */

/** A notice before it is plain text or HTML. */
export interface NoticeText {
  /** One line, for the subject of a mail. */
  readonly subject: string;
  readonly parts: readonly NoticePart[];
  /** What holds for all of it. */
  readonly foot: readonly string[];
}

export interface NoticePart {
  readonly heading: string;
  readonly lines: readonly string[];
  /** Where it stands in full; null: nowhere. */
  readonly path: string | null;
}

const MOST_SUBJECT = 150;

export function noticeText(content: NoticeContent): NoticeText {
  const { subject, parts, foot } = textOf(content);
  const plain = (text: string) => text.replaceAll("\u202f", "\u00a0");
  return {
    subject: plain(subject.length > MOST_SUBJECT ? `${subject.slice(0, MOST_SUBJECT - 1)}\u2026` : subject),
    parts: parts.map((part) => ({ ...part, heading: plain(part.heading), lines: part.lines.map(plain) })),
    foot: foot.map(plain),
  };
}

function textOf(content: NoticeContent): NoticeText {
  switch (content.kind) {
    case "turned":
      return turnedText(content);
    case "digest":
      return digestText(content);
    case "trial":
      return {
        subject: "Springtide: notices arrive here",
        parts: [
          {
            heading: "Notices arrive here.",
            lines: ["This was sent to see whether they do; there is nothing else to be done."],
            path: null,
          },
        ],
        foot: [],
      };
  }
}

function turnedText({ as_of, turned }: TurnedContent): NoticeText {
  const parts = turned.map((one) => (one.subject === "unit" ? unitPart(one, as_of) : lotPart(one, as_of)));
  const first = parts[0]?.heading ?? "Nothing turned.";
  return {
    subject: turned.length === 1 ? first.replace(/\.$/, "") : manySubject(turned),
    parts,
    foot: [
      ...(turned.some(({ subject, state }) => subject === "unit" && state === "out") ? [OUT_OF_USE] : []),
      ...(turned.some(({ subject }) => subject === "lot") ? [FLUIDS_WITH_CARE] : []),
      FORECASTS_ARE_NOT_CONFORMITY,
    ],
  };
}

/** "12 units and 1 lot turned: U-0042, U-0043, U-0044 and 10 more". */
function manySubject(turned: TurnedContent["turned"]): string {
  const units = turned.filter(({ subject }) => subject === "unit").length;
  const lots = turned.length - units;
  const what = [...(units > 0 ? [counted(units, "unit")] : []), ...(lots > 0 ? [counted(lots, "lot")] : [])];
  const names = turned.slice(0, 3).map(({ name }) => oneLine(name));
  const more = turned.length - names.length;
  return `${listed(what)} turned: ${listed([...names, ...(more > 0 ? [`${more} more`] : [])])}`;
}

function unitPart(unit: UnitTurned, asOf: string): NoticePart {
  const { state, p_out_now, p_out_before_service, band, next_service_due, last_check, next_step } = unit;
  const name = `${oneLine(unit.name)}${unit.site === null ? "" : ` at ${oneLine(unit.site)}`}`;
  const due = next_service_due === null ? "its service" : `its service on ${dateOfIso(next_service_due)}`;
  const heading =
    state === "out"
      ? `${name} is out of tolerance${band === null ? "" : ` at ${BAND_LABEL[band]}`}.`
      : `${name} is heading out: it will likely be out of tolerance before ${due}.`;
  const chances = [
    ...(p_out_now === null ? [] : [`${percent(p_out_now)} likely to be out now`]),
    ...(p_out_before_service === null ? [] : [`${percent(p_out_before_service)} before ${due}`]),
  ];
  const seen = last_check === null ? "" : `, by checks up to ${dateOfIso(last_check)}`;
  const before = unit.before === null ? "It was not known before." : `Before: ${STATE_LABEL[unit.before]}.`;
  return {
    heading,
    lines: [
      `How sure: ${chances.length > 0 ? `${listed(chances)}, ` : ""}as of ${dateOfIso(asOf)}${seen}. ${before}`,
      `What to do: ${NEXT_STEP[next_step]}.`,
    ],
    path: `/units/${encodeURIComponent(unit.name)}`,
  };
}

function lotPart(lot: LotTurned, asOf: string): NoticePart {
  const { state, error_percent, error_sd, in_use, sites } = lot;
  const where = sites.length === 0 ? "" : ` Used at ${listed(sites.map(oneLine))}.`;
  const before = lot.before === null ? "It was not known before." : `Before: ${VERDICT_LABEL[lot.before]}.`;
  return {
    heading: `Fluid lot ${oneLine(lot.name)} is ${VERDICT_LABEL[state]}: it ${state === "unsound" ? "reads" : "may read"} ${offText(error_percent)} its certificate.`,
    lines: [
      `How sure: \u00b1 ${decimal(error_sd, 2)}\u202f% (one standard deviation), as of ${dateOfIso(asOf)}.${where} ${before}`,
      `What to do: ${lotSteps({ lot: { verdict: state, inUse: in_use } }).join(" ")}`,
    ],
    path: `/fluids/${encodeURIComponent(lot.name)}`,
  };
}

function digestText({ as_of, since, sites, lots }: DigestContent): NoticeText {
  const sum = (of: (site: SiteDigest) => number) => sites.reduce((total, site) => total + of(site), 0);
  const turned = sum((site) => site.turned.length);
  const atRisk = sum((site) => site.at_risk_count);
  const units = sum((site) => site.units);
  return {
    subject: `The week to ${dateOfIso(as_of)}: ${counted(turned, "unit")} turned, ${atRisk} of ${counted(units, "unit")} out or heading out`,
    parts: [...(lots.length === 0 ? [] : [lotsPart(lots)]), ...sites.map((site) => sitePart(site, since))],
    foot: [OUT_OF_USE, FORECASTS_ARE_NOT_CONFORMITY],
  };
}

function lotsPart(lots: readonly LotDigest[]): NoticePart {
  return {
    heading: `${sentenceCase(countedInWords(lots.length, "fluid lot"))} to look at`,
    lines: lots.map(
      ({ name, state, error_percent, error_sd, has_turned }) =>
        `${oneLine(name)}: ${VERDICT_LABEL[state]}${has_turned ? " since this week" : ""}, reads ${offText(error_percent)} its certificate (\u00b1 ${decimal(error_sd, 2)}\u202f%).`,
    ),
    path: "/fluids",
  };
}

function sitePart(site: SiteDigest, since: string): NoticePart {
  const { turned, at_risk, at_risk_count, due_back, due_back_count, rows_held_back } = site;
  const name = site.site === null ? null : oneLine(site.site);
  const more = (listed: number, of: number) => (of > listed ? [`and ${of - listed} more`] : []);
  return {
    heading: `${name ?? "No site given"}: ${at_risk_count} of ${counted(site.units, "unit")} out or heading out`,
    lines: [
      turned.length === 0
        ? `Turned since ${dateOfIso(since)}: none.`
        : `Turned since ${dateOfIso(since)}: ${turned.map(({ name: unit, before, state, on }) => `${oneLine(unit)} ${before === null ? "" : `from ${STATE_LABEL[before]} `}to ${STATE_LABEL[state]} (${dateOfIso(on)})`).join("; ")}.`,
      ...(at_risk.length === 0
        ? []
        : [`At risk: ${[...at_risk.map(riskText), ...more(at_risk.length, at_risk_count)].join("; ")}.`]),
      ...(due_back.length === 0
        ? []
        : [`Due back: ${[...due_back.map(dueText), ...more(due_back.length, due_back_count)].join("; ")}.`]),
      ...(rows_held_back === 0
        ? []
        : [
            `Held back: ${counted(rows_held_back, "row waits", "rows wait")} to be seen to on the page Intake.`,
          ]),
    ],
    path: site.site === null ? "/units" : `/units?${new URLSearchParams({ site: site.site })}`,
  };
}

function riskText({ name, state, p_out_before_service, next_step }: SiteDigest["at_risk"][number]): string {
  const chance =
    state === "out" || p_out_before_service === null ? "" : `, ${percent(p_out_before_service)} likely`;
  return `${oneLine(name)} ${STATE_LABEL[state]}${chance} (${NEXT_STEP[next_step]})`;
}

function dueText({ name, next_service_due, kept_week }: SiteDigest["due_back"][number]): string {
  const kept = kept_week === null ? "" : `, ${weekName(kept_week)} kept`;
  const due = next_service_due === null ? "no date set" : dateOfIso(next_service_due);
  return `${oneLine(name)} ${due}${kept}`;
}

/** A name as one line: whatever it holds, it begins no header and no line of its own. */
export function oneLine(text: string): string {
  return text.replace(/[\p{Cc}\p{Zl}\p{Zp}]+/gu, " ").trim();
}

/** What stood in the way of sending. No address and no word of the other side is in it. */
export const TROUBLE = {
  refused: (code: number) => `the mail server refused it (${code})`,
  signIn: "the mail server did not accept our name and password",
  away: (code: string) => `no answer (${code})`,
  slow: (seconds: number) => `no answer within ${seconds} seconds`,
  answered: (status: number) => `the address answered ${status}`,
  redirected: (status: number) => `the address answered ${status}: redirects are not followed`,
  inside: "the address is on this machine or in a network of our own, where no webhook is allowed to go",
  noAddress: "no e-mail address is known",
  interrupted: (tries: number) => `given up after ${tries} tries that were cut short`,
  unsubscribed: "its person no longer asks for it",
  notTheirs: "its person no longer sees the site",
} as const;
