import type { FleetWatch, Quantity, WatchSignal } from "../../analysis/index.ts";
import { date } from "./dates.ts";
import { count, counted, decimal, listed, signed, THIN } from "./numbers.ts";

/** What the charted quantities and the charts are called. */
export const QUANTITY_LABEL: Readonly<Record<Quantity, string>> = {
  zero: "zero",
  span: "span",
  nonlinearity: "the bend in the middle",
  low: "the error at low torque",
  medium: "the error at medium torque",
  high: "the error at high torque",
};

/** What its values are in. */
export const QUANTITY_UNIT: Readonly<Record<Quantity, string>> = {
  zero: "% of full scale",
  span: "% of full scale",
  nonlinearity: "% of full scale",
  low: "error over tolerance",
  medium: "error over tolerance",
  high: "error over tolerance",
};

const SURROUNDING: Readonly<Record<WatchSignal["changed"][number], string>> = {
  lot: "another fluid lot",
  geometry: "another geometry",
  operator: "another operator",
  site: "another site",
};

/** One sentence or two for a laboratory person: what was seen, and what coincides with it. */
export function signalNote(signal: WatchSignal): string {
  const { chart, quantity, change, confirmed, betweenDays, changed, withinCheck } = signal;
  const what = QUANTITY_LABEL[quantity];
  switch (chart) {
    case "level":
      return `${capital(what)} has moved from where it stood after the last adjustment: ${amount(change, quantity)} at this check.`;
    case "step": {
      const [from, to] = betweenDays!;
      const coincides =
        changed.length > 0 ? ` With it came ${listed(changed.map((s) => SURROUNDING[s]))}.` : "";
      return confirmed
        ? `Two checks in a row are off their forecast: ${what} shifted by ${amount(change, quantity)} between ${date(from)} and ${date(to)}.${coincides}`
        : `This check is off its forecast in every band: ${what} by ${amount(change, quantity)}, not before ${date(from)}.${coincides} A repeat check tells a shift from a slip.`;
    }
    case "scatter":
      return `${capital(what)} scatters more than the unit\u2019s checks do as a rule. ${scatterMeans(withinCheck)}`;
  }
}

/** Where the scatter is, and what that points to. */
function scatterMeans(withinCheck: boolean | null): string {
  if (withinCheck === null) return "Whether within a check or between checks cannot be told from these.";
  return withinCheck
    ? "The readings of one check agree less with each other: bearing, vibration, or a speed that is not steady."
    : "The readings of one check agree as before, but checks do not: filling, temperature, or different operators.";
}

function amount(change: number, quantity: Quantity): string {
  return quantity === "zero" || quantity === "span" || quantity === "nonlinearity"
    ? `${signed(change, 2)}${THIN}% of full scale`
    : `${signed(change, 2)} of the tolerance`;
}

function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

/** What the limits rest on. */
export function budgetInWords({ budget }: FleetWatch): string {
  if (budget === null) return "Nothing is charted yet: no check with a usable reading in the last year.";
  return `Limits allow ${decimal(budget.falseAlarmsPerMonth, 1)} false alarms a month over ${counted(budget.streams, "chart")}: one in ${count(budget.runLength)} checks of each.`;
}

/** The delays of a table of budgets, in a sentence above it. */
export const BUDGETS_IN_CHECKS =
  "Checks until a lasting shift, or a drift by so much from check to check, is signalled on average, in brackets the months that takes; a tighter budget has fewer false alarms and finds shifts later:";

/** Why a unit is on the review list. */
export function reviewReason(because: "level" | "rate", quantity: Quantity): string {
  return because === "level"
    ? `${QUANTITY_LABEL[quantity]} is off its baseline`
    : `${QUANTITY_LABEL[quantity]} drifts`;
}
