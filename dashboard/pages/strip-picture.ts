import { html } from "htm/preact";
import type { Strip, StripPoint } from "../page-models/strips.ts";
import { date, dateInYear } from "../wording/dates.ts";
import { stripAloud, stripLimit, stripTitle } from "../wording/strips.ts";
import type { Html } from "./layout.ts";

/** The picture's own units; it is stretched to the room there is, its strokes and marks are not. */
const WIDTH = 1000;
const HEIGHT = 100;
/** Room at both ends of the time, as a share of it. */
const END_ROOM = 0.02;
/** How far beyond the limits the picture reaches where nothing goes further, and at most, in shares of their distance. */
const LEAST_BEYOND = 0.3;
const MOST_BEYOND = 1.6;

/**
 * One chart as a small picture with its name and limit above and its time below: water within the limits, sand beyond,
 * darker water where the limits were fitted, squares for checks beyond, an upright for each signal.
 */
export function stripFigure(strip: Strip): Html {
  return html`
    <figure class="strip">
      <figcaption><b>${stripTitle(strip.kind)}</b> ${stripLimit(strip)}</figcaption>
      ${stripPicture(strip)}
      <div class="strip-ends" aria-hidden="true"><span>${dateInYear(strip.fromDay)}</span><span>${date(strip.toDay)}</span></div>
    </figure>
  `;
}

function stripPicture(strip: Strip): Html {
  const { fromDay, toDay, low, high, centre, baselineToDay, lines, signalDays } = strip;
  const room = Math.max(1, (toDay - fromDay) * END_ROOM);
  const across = (day: number): number =>
    Math.round(((day - fromDay + room) / (toDay - fromDay + 2 * room)) * WIDTH);
  const [bottom, top] = reachOf(strip);
  const down = (value: number): number => {
    const within = Math.max(bottom, Math.min(top, value));
    return Math.round((1 - (within - bottom) / (top - bottom)) * HEIGHT * 10) / 10;
  };
  const at = ({ day, value }: StripPoint): string => `${across(day)} ${down(value)}`;
  const dots = (points: readonly StripPoint[]): string => points.map((point) => `M${at(point)}h0`).join("");
  const all = lines.flat();
  const limits = [high, ...(low === 0 ? [] : [low])].map((limit) => `M0 ${down(limit)}H${WIDTH}`).join("");
  return html`
    <svg viewBox=${`0 0 ${WIDTH} ${HEIGHT}`} preserveAspectRatio="none" role="img" aria-label=${stripAloud(strip)}>
      <rect class="bank" width=${WIDTH} height=${HEIGHT} />
      <rect class="water" y=${down(high)} width=${WIDTH} height=${down(low) - down(high)} />
      ${baselineToDay === null ? null : html`<rect class="fitted" y=${down(high)} width=${across(baselineToDay)} height=${down(low) - down(high)} />`}
      <path class="true" d=${`M0 ${down(centre)}H${WIDTH}`} />
      <path class="limit" d=${limits} />
      ${signalDays.length === 0 ? null : html`<path class="signal" d=${signalDays.map((day) => `M${across(day)} 0V${HEIGHT}`).join("")} />`}
      ${lines.map((points) => (points.length === 0 ? null : html`<path class="course" d=${`M${points.map(at).join("L")}`} />`))}
      <path class="dots" d=${dots(all.filter((point) => !point.beyond))} />
      <path class="beyond" d=${dots(all.filter((point) => point.beyond))} />
    </svg>
  `;
}

/** Where the picture ends below and above: some way beyond the limits, and not so far that one stray check flattens the rest. */
function reachOf({ low, high, lines }: Strip): readonly [number, number] {
  const width = high - low;
  const values = lines.flat().map(({ value }) => value);
  const furthest = Math.max(high, ...values);
  const lowest = Math.min(low, ...values);
  const top = Math.min(
    high + MOST_BEYOND * width,
    Math.max(high + LEAST_BEYOND * width, furthest + 0.1 * width),
  );
  if (low === 0) return [0, top];
  return [
    Math.max(low - MOST_BEYOND * width, Math.min(low - LEAST_BEYOND * width, lowest - 0.1 * width)),
    top,
  ];
}
