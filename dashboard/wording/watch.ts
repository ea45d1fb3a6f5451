import type { LinearityDifference, QuantityChart } from "../../analysis/index.ts";
import type { Happening } from "../page-models/around.ts";
import type { SignalInContext, WatchRow } from "../page-models/watch.ts";
import { date } from "./dates.ts";
import { settledText } from "./judgements.ts";
import { count, counted, decimal, listed, sentenceCase, signed, THIN } from "./numbers.ts";
import { QUANTITY_LABEL, QUANTITY_UNIT, signalNote } from "./signals.ts";

/** What each run rule sees. */
const RULE: Readonly<Record<number, string>> = {
  1: "one check beyond three sigma",
  2: "nine in a row on one side",
  3: "six in a row rising or falling",
  4: "fourteen in a row up and down by turns",
  5: "two of three beyond two sigma",
  6: "four of five beyond one sigma",
  7: "fifteen in a row within one sigma",
  8: "eight in a row beyond one sigma",
};

/** Run rules that were met; null where none was. */
export function runRuleNote({ quantity, rules }: WatchRow): string | null {
  if (rules.length === 0) return null;
  return `${sentenceCase(QUANTITY_LABEL[quantity])}: ${listed(rules.map((rule) => RULE[rule]!))}.`;
}

export const RUN_RULES_ARE_NO_ALARMS =
  "Run rules are met every 70 checks or so without a cause; they are notes, and no alarms.";

const HAPPENING: Readonly<Record<Happening["what"], (name: string) => string>> = {
  service: (name) => `a service (${name})`,
  lot: (name) => `fluid lot ${name}`,
  geometry: (name) => `geometry ${name}`,
  operator: (name) => `operator ${name}`,
  site: (name) => `site ${name}`,
};

/** What came in at the time of a step; null: nothing on record. */
export function happenedText(happened: readonly Happening[]): string | null {
  if (happened.length === 0) return null;
  return `In the same days came ${listed(happened.map(({ what, name }) => HAPPENING[what](name)))}.`;
}

/** One signal for a reader of the unit's page: what, then what else happened. */
export function signalText(signal: SignalInContext): string {
  const happened = happenedText(signal.happened);
  const note = signalNote(happened === null ? signal : { ...signal, changed: [] });
  const background = signal.settled === null ? happened : settledText(signal.settled);
  return background === null ? note : `${note} ${background}`;
}

/** How a quantity stands on its level chart. */
export function levelText({ level, levelLimit, baseline, changedBetween }: WatchRow): string {
  const beyond = Math.abs(level) > levelLimit ? "beyond" : "within";
  const since = baseline === null ? "limits not set yet" : `limits set by ${date(baseline.toDay)}`;
  const changed = changedBetween === null ? "" : `; ${changedText(...changedBetween)}`;
  return `${beyond} (${signed(level, 1)} of ${decimal(levelLimit, 1)}; ${since}${changed})`;
}

function changedText(from: number, to: number): string {
  return Math.floor(from) === Math.floor(to)
    ? `off since ${date(to)}`
    : `changed between ${date(from)} and ${date(to)}`;
}

/** The same as a sentence of its own. */
export function standsText({ quantity, level, levelLimit, baseline, changedBetween }: WatchRow): string {
  const what = sentenceCase(QUANTITY_LABEL[quantity]);
  if (baseline === null)
    return `${what} has too few checks for limits: they are fitted from the first eight.`;
  const beyond = Math.abs(level) > levelLimit;
  const stands = `${what} stands ${beyond ? "beyond" : "within"} its limit: its weighted mean is at ${signed(level, 1)} of ${decimal(levelLimit, 1)} standard deviations.`;
  return changedBetween === null
    ? stands
    : `${stands} By the running sums it ${changedText(...changedBetween)}.`;
}

/** A quantity that has nothing to tell, in half a line. */
export function quietText({ level, levelLimit, baseline, speaks }: WatchRow): string {
  if (baseline === null) return "has too few checks for limits.";
  const beyond = Math.abs(level) > levelLimit;
  const at = `at ${signed(level, 1)} of ${decimal(levelLimit, 1)}`;
  return `${beyond ? "beyond its limit" : speaks ? "signalled, and is back within its limit" : "within its limit"}, ${at}.`;
}

/** What the charts come to, before any of them. */
export function watchSentence(loud: readonly WatchRow[]): string {
  if (loud.length === 0) {
    return "No chart of this life has signalled, and none stands beyond its limit. These limits allow for what sound units do by themselves, so a slow drift shows in the forecast first.";
  }
  const names = loud.map(({ quantity }) => QUANTITY_LABEL[quantity]);
  return `The charts speak of ${listed(names)}.`;
}

/** Which checks the limits rest on, and since when they hold. */
export function limitsText({ baseline, limits, points }: QuantityChart): string {
  const checks = counted(points.length, "check");
  if (baseline === null) return `${checks} so far; limits are fitted from the first eight.`;
  return (
    `${checks}. Limits fitted once, from ${counted(baseline.checks, "check")} up to ${date(baseline.toDay)}, and kept: ` +
    `they run ${count(limits.runLength)} checks on average before a false alarm, as the fleet\u2019s budget has it.`
  );
}

/** Where two means explain the life best; null where nothing says that anything changed. */
export function stepInMeanText({ likeliestStep, quantity }: QuantityChart): string | null {
  if (likeliestStep === null) return null;
  const { betweenDays, before, after } = likeliestStep;
  return `Were it one step, it came between ${date(betweenDays[0])} and ${date(betweenDays[1])}: from ${signed(before, 2)} to ${signed(after, 2)} (${QUANTITY_UNIT[quantity]}).`;
}

export const WATCH_CAPTION =
  "Light blue is within the limits, darker blue the checks that they were fitted from; they stay as they are. A square " +
  "is a check beyond, a dashed upright the day of a signal.";

/** Latest checks against as left; null where one of them is not known. */
export function changeText(change: LinearityDifference | null): string | null {
  if (change === null) return null;
  const part = (name: string, estimate: LinearityDifference["zero"] | null) =>
    estimate === null
      ? null
      : `${name} ${signed(estimate.value, 2)} \u00b1 ${decimal(estimate.se, 2)} (p ${pText(estimate.p)})`;
  const parts = [part("zero", change.zero), part("span", change.span), part("bend", change.nonlinearity)];
  return `Since as left, in % of full scale: ${listed(parts.filter((text) => text !== null))}.`;
}

/** A p-value as people write it. */
export function pText(p: number): string {
  return p < 0.001 ? "under 0.001" : decimal(p, 3);
}

export const NOTHING_SIGNALLED = `No chart of this unit has signalled.`;

/** The fit's scatter and tests in a line. */
export function fitText(fit: {
  readonly jointP: number;
  readonly lackOfFitP: number | null;
  readonly repeatability: number;
}): string {
  const lack = fit.lackOfFitP === null ? "" : `; lack of fit p ${pText(fit.lackOfFitP)}`;
  return `Zero and span both nil: p ${pText(fit.jointP)}${lack}; a reading repeats to ${decimal(fit.repeatability, 2)}${THIN}% of full scale.`;
}
