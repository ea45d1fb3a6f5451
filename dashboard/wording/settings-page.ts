import type { PreviewSide, SettingsPreview } from "../assessment/settings-preview.ts";
import type { SettingsMoment, SettingsPage } from "../page-models/settings.ts";
import { date } from "./dates.ts";
import { count, counted, decimal, listed } from "./numbers.ts";
import { STATE_LABEL } from "./states.ts";

/** Sentences of the page of the settings. */

export function settingsHeadline({ lastChange }: SettingsPage): string {
  return lastChange === null
    ? "The usual rules are in force: nobody has set others."
    : `These rules are in force since ${date(lastChange.heldFromDay)}, set by ${lastChange.by}.`;
}

export const HOW_KEPT =
  "A check is judged by the settings that were in force on its day. A change holds from the moment it is kept; earlier " +
  "verdicts stay as they were given, and every change stays on record with who, when and why.";

export const REQUIREMENT_CAUTION =
  "Tolerances, temperatures and intervals follow your organisation\u2019s procedures, the accrediting rules that bind it " +
  "and the makers\u2019 instructions. Set here what they say; a setting is no reason to use a unit that failed a check.";

/** "Changed 3 Aug 2026 by R. Planner: procedure 7." */
export function changedText(changed: SettingsMoment | null): string | null {
  if (changed === null) return null;
  return `Set ${date(changed.setOnDay)} by ${changed.by}: ${changed.why ?? "no reason given"}.`;
}

/** The head of what a proposal would do. */
export function previewHeadline({ units, unitsOf, changed, verdicts }: SettingsPreview): string {
  const among =
    units < unitsOf
      ? `${counted(units, "unit")}, evenly chosen from ${count(unitsOf)}`
      : counted(units, "unit");
  const states =
    changed.length === 0
      ? `None of ${among} would change its state`
      : `Of ${among}, ${count(changed.length)} would change ${changed.length === 1 ? "its" : "their"} state`;
  const turned = verdicts.passedButWouldFail + verdicts.failedButWouldPass;
  const judged =
    turned === 0
      ? `none of the last year\u2019s ${counted(verdicts.checks, "check")} would have been judged otherwise`
      : `${count(turned)} of the last year\u2019s ${counted(verdicts.checks, "check")} would have been judged otherwise`;
  return `${states}, and ${judged}.`;
}

/** What the proposal means for verdicts. */
export function verdictsText({ verdicts }: SettingsPreview): string {
  const { failed, wouldFail, passedButWouldFail, failedButWouldPass } = verdicts;
  const turns = [
    ...(passedButWouldFail > 0 ? [`${count(passedButWouldFail)} that passed would have failed`] : []),
    ...(failedButWouldPass > 0 ? [`${count(failedButWouldPass)} that failed would have passed`] : []),
  ];
  return `${counted(failed, "check")} failed as judged, ${count(wouldFail)} would have failed${turns.length === 0 ? "" : `: ${listed(turns)}`}. They keep the verdicts that they were given.`;
}

/** "12 steady \u2192 leaning". */
export function movesTexts({ changed }: SettingsPreview): string[] {
  const moves = Map.groupBy(changed, ({ from, to }) => `${STATE_LABEL[from]} \u2192 ${STATE_LABEL[to]}`);
  return [...moves]
    .sort((a, b) => b[1].length - a[1].length)
    .map(([text, units]) => `${count(units.length)} ${text}`);
}

/** One side in words, beside its bar. */
export function sideText({ states }: PreviewSide): string {
  return (["out", "heading-out", "leaning", "steady", "unjudged"] as const)
    .filter((state) => states[state] > 0)
    .map((state) => `${count(states[state])} ${STATE_LABEL[state]}`)
    .join(", ");
}

/** What else moves: only what differs. */
export function otherEffects({ present, proposed }: SettingsPreview): string[] {
  const pair = (what: string, a: number, b: number): string[] =>
    a === b ? [] : [`${what}: ${count(a)} now, ${count(b)} then.`];
  return [
    ...pair("Units below the reliability target at their service", present.belowTarget, proposed.belowTarget),
    ...pair("Units overdue for a check", present.overdue, proposed.overdue),
    ...pair("Sites behind with their checks", present.sitesBehind, proposed.sitesBehind),
  ];
}

export const DELAYS_CAPTION =
  "What a budget costs: checks until something that has happened is signalled, on average, and below it how long that " +
  "takes at the fleet\u2019s own rate of checks. Sizes are in sigma, the scatter of one check; a drift is counted from check to check.";

/** How long, in months or weeks. */
export function monthsText(months: number): string {
  return months < 2 ? `${decimal(months * 4.35, 0)} weeks` : `${decimal(months, months < 10 ? 1 : 0)} months`;
}
