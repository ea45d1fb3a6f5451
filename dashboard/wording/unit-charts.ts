import type { BandName } from "../../analysis/index.ts";
import type { Linearity } from "../page-models/linearity.ts";
import type { LifePoint, Lives } from "../page-models/lives.ts";
import type { UnitPage } from "../page-models/unit.ts";
import { date } from "./dates.ts";
import { counted, decimal, signed, THIN } from "./numbers.ts";
import { BAND_LABEL } from "./states.ts";

/** Captions of the unit page's charts, and the same charts in words for those who do not see them. */

export const LIVES_CAPTION =
  "Error over tolerance: blue is inside, sand is out. Filled dots are the unit\u2019s own error, with fluid lot and bath " +
  "taken away; faint rings are as read; crosses were not used. An upright is a service. The fan holds 50 and 90\u202f% " +
  "of what is to be expected.";

export const LINEARITY_CAPTION =
  "Blue is inside tolerance, which widens with torque. Dots are the readings of this life, lot and bath taken away. As " +
  "left: the line through the checks after the service, and the band that holds it with 95\u202f%. Now: what all " +
  "checks together say of today, and the band that holds it with 90\u202f%.";

/** Said where dots stand for more than one reading each. */
export function livesNote({ bands }: Lives): string | null {
  const condensed = bands.some(({ points }) => points.some(({ readings }) => readings > 1));
  return condensed ? "Where checks lie close, a dot is the mean of neighbouring days." : null;
}

/** The lives in words. */
export function livesAloud({ instrument, lives, lanes, forecast }: UnitPage): string {
  const bands = (lanes ?? []).map(
    ({ band, now, atService }) =>
      `${BAND_LABEL[band]} stands at ${decimal(now, 2)} and is expected at ${decimal(atService, 2)}`,
  );
  const due =
    forecast.nextServiceDueDay === null ? "" : ` by its service on ${date(forecast.nextServiceDueDay)}`;
  const said = bands.length === 0 ? "no band can be judged" : `${bands.join("; ")}${due}`;
  return `Error over tolerance of ${instrument} since ${date(lives.fromDay)}: ${said}.`;
}

/** The error along the torque in words. */
export function linearityAloud({ now, asLeft }: Linearity): string {
  const left =
    asLeft === null ? "not known" : `zero ${signed(asLeft.zero, 2)}, span ${signed(asLeft.span, 2)}`;
  const [first, last] = [now?.mean[0], now?.mean.at(-1)];
  const today =
    first === undefined || last === undefined
      ? "not known"
      : `${signed(first, 2)} at the lowest torque, ${signed(last, 2)} at the highest`;
  return `Error along the torque, in percent of full scale. As left: ${left}. Now: ${today}.`;
}

/** What a mark of a live chart says: one line, or a few. */
export function readingTip({ day, asRead, own, used, readings }: LifePoint, band: BandName): string {
  const lines = [`${date(day)}, ${BAND_LABEL[band]}`];
  if (readings > 1) lines.push(`mean of ${counted(readings, "reading")} around this day`);
  lines.push(
    own === null
      ? `${decimal(asRead, 2)} of tolerance`
      : `${decimal(own, 2)} of tolerance; as read ${decimal(asRead, 2)}`,
  );
  if (!used) lines.push("not used");
  return lines.join("\n");
}

/** What a reading says in the picture along the torque. */
export function torqueReadingTip(reading: {
  readonly torque: number;
  readonly error: number;
  readonly day: number;
}): string {
  const { torque, error, day } = reading;
  return `${date(day)}\n${signed(error, 2)}${THIN}% of full scale at ${decimal(torque, 0)}${THIN}% torque`;
}
