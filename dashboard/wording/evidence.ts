import { JUDGING_TORQUES, type PatternName, type UnitForecast } from "../../analysis/index.ts";
import type { BandBeyond, Evidence, Fact, Gap, WithoutShared } from "../page-models/evidence.ts";
import { date } from "./dates.ts";
import { settledText } from "./judgements.ts";
import {
  count,
  counted,
  countedInWords,
  decimal,
  listed,
  percent,
  sentenceCase,
  share,
  signed,
  THIN,
} from "./numbers.ts";
import { BAND_LABEL } from "./states.ts";
import { happenedText } from "./watch.ts";

/** What each explanation is called: what moves, and what may be behind it. */
const EXPLANATION: ReadonlyMap<string, string> = new Map([
  ["sound", "Nothing moves beyond the usual"],
  ["span", "Span: the spring, the accessory, the filling"],
  ["acceleration", "Span, faster and faster"],
  ["zero", "Zero: levelling, a shock, the zero setting"],
  ["friction", "Friction in pivot or bearing"],
  ["curvature", "The middle bends: the spring, or a speed effect"],
]);
const WITH_STEP = ", step";

/**
 * An explanation of the analysis in the laboratory's words; one that is not known here keeps its name.
 *
 * @param pattern Of the unit: explanations say what moves, and a unit that scatters may not move at all.
 */
export function explanationLabel(name: string, pattern: PatternName): string {
  if (name === "sound" && pattern === "scatter") return "Nothing moves; the readings scatter about that";
  const drift = name.endsWith(WITH_STEP) ? name.slice(0, -WITH_STEP.length) : name;
  const label = EXPLANATION.get(drift) ?? sentenceCase(drift);
  if (drift === name) return label;
  return drift === "sound" ? "A sudden shift, and no drift" : `${label}; and a sudden shift`;
}

/** What the pattern amounts to, said before any figure; hedged where it is not settled. */
export function patternText({
  pattern: { name, strength },
  steps,
}: Pick<UnitForecast, "pattern" | "steps">): string {
  const means =
    name === "step" || (name === "none" && steps.length > 0) ? stepMeans(steps, name) : PATTERN_MEANS[name];
  return strength >= SETTLED
    ? means
    : `Not settled, but likeliest: ${means.charAt(0).toLowerCase()}${means.slice(1)}`;
}

/** From this share of the evidence on a pattern is said without a hedge. */
const SETTLED = 0.8;

/** Steps that take each other back have not stayed. */
function stepMeans(steps: UnitForecast["steps"], name: "step" | "none"): string {
  if (name === "none" && steps.length === 1) {
    return "The error shifted once, by little, and nothing else stands out.";
  }
  if (steps.length < 2) {
    return "The error moved at once and has stayed there since. That points to one event and not to wear.";
  }
  const largest = Math.max(...steps.map((step) => sizeOf([step])));
  return sizeOf(steps) < TAKEN_BACK * largest
    ? "The error moved at once and later came back: the shifts take each other back, nearly. That points to single events, or to checks that were off between them, and not to wear."
    : `The error moved at once, ${countedInWords(steps.length, "time")}. That points to single events and not to wear.`;
}

/** Steps that leave less than this share of the largest of them have taken each other back. */
const TAKEN_BACK = 1 / 3;

/** What steps together come to at the judging torque where that is most. Unit: % of full scale. */
function sizeOf(steps: UnitForecast["steps"]): number {
  const at = (torque: number) => steps.reduce((sum, { zero, span }) => sum + zero + (span * torque) / 100, 0);
  return Math.max(...Object.values(JUDGING_TORQUES).map((torque) => Math.abs(at(torque))));
}

const PATTERN_MEANS: Readonly<Record<Exclude<PatternName, "step">, string>> = {
  none: "Nothing in the errors of this life stands out: no part of the scale moves more than the checks\u2019 own scatter.",
  span: "The whole scale stretches or shrinks: the error grows with torque. That is how a spring, a worn or wrong accessory, or the filling shows; zero and the middle stay where they are.",
  zero: "Every torque is off by the same share of full scale. That is how a moved zero, an unlevel stand or a shock shows; the spring itself does not stretch.",
  friction: "Low torque falls behind, the rest does not. That is how a dragging pivot or bearing shows.",
  curvature:
    "The middle of the scale leaves the line between its ends. That is how a bending spring shows, or an effect of the speed; one fluid alone cannot tell these apart.",
  scatter:
    "The mean stays, the readings spread at least twice as far as a typical unit\u2019s. That is how a worn bearing, vibration or an unsettled temperature shows.",
};

export const TOO_LITTLE_KNOWN = "Too little is known of it to say anything.";

const SHAPE_NAME: Readonly<Record<PatternName, string>> = {
  none: "the error",
  span: "span",
  zero: "zero",
  friction: "friction at low torque",
  curvature: "the middle, against the line between low and high torque,",
  step: "the shift",
  scatter: "the scatter",
};

/** What speaks for the finding, one sentence a fact. */
export function factText(fact: Fact): string {
  switch (fact.kind) {
    case "shape":
      return `${sentenceCase(SHAPE_NAME[fact.pattern])} stands at ${signed(fact.now, 2)} \u00b1 ${decimal(fact.sd, 2)}${THIN}% of full scale and moves by ${signed(fact.perYear, 1)}${THIN}% a year.`;
    case "step": {
      const [last, first] = fact.step.betweenDays;
      return `It moved between ${date(last)} and ${date(first)}: zero by ${signed(fact.step.zero, 2)}, span by ${signed(fact.step.span, 2)}${THIN}% of full scale. ${stepBackground(fact)}`;
    }
    case "second-fluid":
      return fact.outcome === "same"
        ? `Lots ${listed(fact.lots)} bend the same way at the same torques and other speeds: it follows torque, as a spring does.`
        : `Lots ${listed(fact.lots)} bend differently at the same torques and other speeds: it follows the speed or the fluid, not the spring.`;
    case "checks": {
      const lots = fact.lots > 1 ? `, with ${countedInWords(fact.lots, "fluid lot")}` : "";
      const leftOut = fact.leftOut > 0 ? `; ${countedInWords(fact.leftOut, "check")} left out` : "";
      return `It rests on ${counted(fact.checks, "check")} since the last adjustment${lots}${leftOut}.`;
    }
    case "charts":
      return chartsText(fact.bands);
    case "shared-removed":
      return `Lot and bath read ${decimal(Math.abs(fact.percentOfReading), 1)}${THIN}% ${fact.percentOfReading > 0 ? "high" : "low"} over this life; that has been taken away.`;
    case "alone":
      return `Judged from its own checks alone, with lots and baths left in, it would be ${percent(fact.chanceAlone)}.`;
  }
}

/** "3 of 14 checks at high torque went beyond the limits that its own first checks after the adjustment set, first on 8 Mar 2026." */
function chartsText(bands: readonly BandBeyond[]): string {
  const counts = bands.map(({ band, beyond, of }, i) => {
    const checks =
      i === 0 ? `${count(beyond)} of ${counted(of, "check")}` : `${count(beyond)} of ${count(of)}`;
    return `${checks} at ${BAND_LABEL[band]}`;
  });
  const first = Math.min(...bands.map(({ sinceDay }) => sinceDay));
  return `${listed(counts)} went beyond the limits that its own first checks after the adjustment set, first on ${date(first)}.`;
}

/** What a step came with; what somebody settled it to be goes before. */
function stepBackground({ happened, settled }: Extract<Fact, { kind: "step" }>): string {
  if (settled !== null) return settledText(settled);
  return happenedText(happened) ?? "Nothing else is on record for those days.";
}

/** What lot and bath did to the latest check, and whether they turned a verdict. */
export function withoutSharedCaption(bands: readonly WithoutShared[]): string {
  const turned = bands.filter(({ asRead, own }) => Math.abs(asRead) > 1 !== Math.abs(own) > 1);
  const day = date(bands[0]!.day);
  if (turned.length === 0)
    return `The check of ${day}, with lot and bath and without them: the verdict is the same.`;
  const names = listed(turned.map(({ band }) => BAND_LABEL[band]));
  return Math.abs(turned[0]!.asRead) > 1
    ? `The check of ${day}: at ${names} it reads out, and would not with an average lot and a perfect bath.`
    : `The check of ${day}: at ${names} it reads inside, and would not with an average lot and a perfect bath.`;
}

/** What is not known, one sentence each. */
export function gapText(gap: Gap): string {
  switch (gap.kind) {
    case "one-geometry":
      return `Whether it follows the accessory: it has only been checked with ${gap.geometry}.`;
    case "one-lot":
      return `Whether the fluid has a part in it: it has only been checked with lot ${gap.fluidLot}.`;
    case "lot-unjudged":
      return `How true lot ${gap.fluidLot} is: too few units share it to tell.`;
    case "few-checks":
      return `Its own rate of drift: what its ${counted(gap.checks, "check")} say of it leaves ${share(gap.fleetWeight)} to what is usual in the fleet.`;
    case "second-fluid":
      return "Whether it is the spring: no second fluid has shown the same bend at the same torques and other speeds.";
    case "friction":
      return "Whether friction has a part in it: the torques used do not tell it from zero.";
    case "note":
      return gap.note;
    case "no-due-date":
      return "When its next service is due: no date is registered.";
  }
}

/** The test that would settle the matter, in full; the table row has the short form. */
export const STEP_IN_FULL: Readonly<Record<Evidence["step"], string>> = {
  "swap-accessory":
    "One check with another cup and bob, same fluid. If the error stays with the unit, it is the spring; if it goes with the accessory, measure the bob.",
  "zero-in-air":
    "Level it, let it turn in air and look at zero; set zero by the maker\u2019s procedure and repeat the check.",
  "approach-both-ways":
    "Repeat the low speed ten times, approaching from above and from below. If the two differ, it is friction: keep to higher torque and book a service.",
  "second-fluid":
    "One check with a second fluid that reaches the same torques at other speeds. If the bend stays, it is the spring; if it goes, it was the speed.",
  "look-into-step":
    "Ask what happened in those days: a fall, a move, another accessory, another lot, a new entry. Then repeat the check.",
  "record-scatter":
    "Record one minute at constant speed. A wave at each turn is the shaft; anything else is bearing, vibration or temperature.",
  "first-check":
    "Check it: nothing is known yet of its life since the last service, so this rests on its earlier lives and the fleet.",
  "check-again": "Check it again within the week; a second check tells drift from chance.",
  "make-overdue-check": "Make the check that is overdue: nothing newer can be said until then.",
  "overdue-service":
    "Send it to service: its date is past, and a low probability does not extend it. Your procedure says whether it may be used until then.",
  "usual-checks": "Go on with the usual checks.",
};

/** Until when a service comes in time; null where there is nothing to say of it. */
export function bookingText({ safeUntilDay, out, dueDay }: Evidence, asOfDay: number): string | null {
  if (out || safeUntilDay === null) return null;
  if (safeUntilDay <= asOfDay)
    return "It may be out already, with more than 5\u202f%: check it before it is used again.";
  if (dueDay !== null && dueDay < asOfDay) return null;
  if (dueDay !== null && dueDay <= safeUntilDay) {
    return `It stays inside tolerance until its service on ${date(dueDay)} with 95\u202f%.`;
  }
  return `It stays inside tolerance until ${date(safeUntilDay)} with 95\u202f%: a service before then comes in time.`;
}
