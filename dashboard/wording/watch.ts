import type { LinearityDifference, QuantityChart } from "../../analysis/index.ts";
import type { Happening } from "../page-models/around.ts";
import type { SignalInContext, WatchRow } from "../page-models/watch.ts";
import { date } from "./dates.ts";
import { settledText } from "./judgements.ts";
import { counted, decimal, listed, sentenceCase, signed, THIN } from "./numbers.ts";
import { QUANTITY_LABEL, signalNote } from "./signals.ts";

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

/** What one level chart says, for those who do not see it. */
export function levelAloud({ quantity, points, limits }: QuantityChart): string {
  const beyond = points.filter(({ level }) => Math.abs(level) > limits.level).length;
  const what = sentenceCase(QUANTITY_LABEL[quantity]);
  return beyond === 0
    ? `${what}: ${counted(points.length, "check")}, never beyond the limit of ${decimal(limits.level, 1)}.`
    : `${what}: beyond the limit of ${decimal(limits.level, 1)} at ${beyond} of ${counted(points.length, "check")}.`;
}

/** The same below the quantity's own heading. */
export function levelCaption({ points, limits }: QuantityChart): string {
  const beyond = points.filter(({ level }) => Math.abs(level) > limits.level).length;
  return `${beyond} of ${counted(points.length, "check")} beyond ${decimal(limits.level, 1)}.`;
}

export const LEVEL_CAPTION =
  "Where zero, span and the bend stand against the first eight checks after the adjustment (shaded): a weighted mean in " +
  "its own standard deviations. The limits come from the fleet\u2019s budget of false alarms and stay as they are.";

/** What a check says on a level chart. */
export function levelTip({ day, value, level }: QuantityChart["points"][number]): string {
  return `${date(day)}\n${signed(value, 2)} at this check; the mean at ${signed(level, 1)} standard deviations`;
}

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
