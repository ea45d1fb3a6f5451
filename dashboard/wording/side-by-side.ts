import type { LinearityDifference } from "../../analysis/index.ts";
import type { Choice, Side } from "../page-models/side-by-side.ts";
import { date } from "./dates.ts";
import { decimal, listed, signed, THIN } from "./numbers.ts";

/** Words of the page on which lines are laid side by side. */

export const SIDES_CAPTION =
  "Error along the torque, % of full scale, with fluid lot and bath taken away. Blue is inside tolerance; dots are readings; the soft " +
  "band holds the whole line at once with 95\u202f%.";

/** Less likely than this by chance is called a difference. */
const SAYS_SOMETHING = 0.01;

/** "P-0153, 3 Jan to 2 Jul 2026, lot SI-04". */
export function choiceName({ instrument, fromDay, toDay, fluidLot }: Choice): string {
  const days =
    fromDay === null && toDay === null
      ? "present life"
      : `${fromDay === null ? "from its first check" : date(fromDay)} to ${toDay === null ? "its latest" : date(toDay)}`;
  return [instrument, days, ...(fluidLot === null ? [] : [`lot ${fluidLot}`])].join(", ");
}

export function sidesHeadline(sides: readonly Side[]): string {
  if (sides.length === 0) return "Lay up to four lines side by side: units, lives, fluid lots, times.";
  if (sides.length === 1) return `${choiceName(sides[0]!.choice)}: add another to hold it against.`;
  const others = sides.slice(1);
  const apart = others.filter(
    ({ difference }) => difference !== null && partsApart(difference).length > 0,
  ).length;
  if (apart === 0) return "No line differs from the first by more than chance explains.";
  const differ = `${apart === 1 ? "differs" : "differ"} from the first by more than chance explains.`;
  return others.length === 1 ? `The second line ${differ}` : `${apart} of ${others.length} lines ${differ}`;
}

/** What differs from the first line, and by how much. */
export function differenceText({ difference, fit }: Side): string {
  if (fit === null) return "Its checks carry no line: too few, or all at one torque.";
  if (difference === null) return "";
  const parts = partsApart(difference);
  return parts.length === 0
    ? "Against the first: nothing that chance does not explain."
    : `Against the first: ${listed(parts)}.`;
}

function partsApart(difference: LinearityDifference): string[] {
  return (["zero", "span", "nonlinearity"] as const).flatMap((name) => {
    const part = difference[name];
    if (part === null || part.p >= SAYS_SOMETHING) return [];
    return [`${name} ${signed(part.value, 2)} \u00b1 ${decimal(part.se, 2)}`];
  });
}

/** For those who do not see the picture. */
export function sideAloud({ choice, fit }: Side): string {
  if (fit === null) return `${choiceName(choice)}: no line.`;
  const { mean, torque } = fit.curve;
  return `${choiceName(choice)}: ${signed(mean[0]!, 1)}${THIN}% of full scale at ${decimal(torque[0]!, 0)}${THIN}% torque, ${signed(mean.at(-1)!, 1)} at ${decimal(torque.at(-1)!, 0)}.`;
}
