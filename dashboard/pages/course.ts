import { html } from "htm/preact";
import type { CourseView } from "../assessment/views.ts";
import type { CourseRow } from "../page-models/course.ts";
import {
  COURSE_CAPTION,
  courseAloud,
  courseOutcome,
  courseProgress,
  courseSentence,
} from "../wording/course.ts";
import { date, monthAndYear } from "../wording/dates.ts";
import { count } from "../wording/numbers.ts";
import { STATE_LABEL } from "../wording/states.ts";
import { figured } from "./figured.ts";
import type { Html } from "./layout.ts";

const WIDTH = 900;
const HEIGHT = 170;
const LEFT = 56;
const BOTTOM = 26;
const FROM_THE_BED = ["out", "heading-out", "leaning"] as const;

/** The fleet over time: units by state, month by month, with what the forecasts said then. */
export function courseSection(rows: readonly CourseRow[], { progress, months }: CourseView): Html {
  return html`
    <section id="course" aria-labelledby="course-head">
      <h2 id="course-head">The fleet over time</h2>
      ${progress !== null && (months === null || months.length === 0) ? html`<p>${courseProgress(progress)}</p>` : null}
      ${months === null ? null : drawing(rows)}
    </section>
  `;
}

function drawing(rows: readonly CourseRow[]): Html {
  if (rows.length < 2) return html`<p>The first month is still to come to its end.</p>`;
  return html`
    <p>${courseSentence(rows)}</p>
    <figure class="course">
      <figcaption>${COURSE_CAPTION}${figured("leaves-tolerance")}</figcaption>
      ${picture(rows)}
      <details class="same-figures">
        <summary>The same figures as a table</summary>
        <div class="scroll" tabindex="0" role="region" aria-label="The fleet month by month">${table(rows)}</div>
      </details>
    </figure>
  `;
}

function picture(rows: readonly CourseRow[]): Html {
  const shareOf = (n: number, { units }: CourseRow): number => n / Math.max(1, units);
  const notSteady = (row: CourseRow): number =>
    shareOf(
      FROM_THE_BED.reduce((sum, state) => sum + row.states[state], 0),
      row,
    );
  const saidOf = (row: CourseRow): number => shareOf(row.states.out + row.said, row);
  const top = Math.max(0.05, ...rows.flatMap((row) => [notSteady(row), saidOf(row)])) * 1.15;
  const y = (share: number): number => (HEIGHT - BOTTOM) * (1 - share / top);
  const step = (WIDTH - LEFT) / rows.length;
  const everyOther = rows.length > 7;
  return html`
    <svg class="lanes" viewBox=${`0 0 ${WIDTH} ${HEIGHT}`} role="img" aria-label=${courseAloud(rows)}>
      <rect class="water" x=${LEFT} width=${WIDTH - LEFT} height=${HEIGHT - BOTTOM} rx="4" />
      ${rows.map((row, i) => {
        const x = LEFT + i * step + step * 0.14;
        const width = step * 0.72;
        let from = 0;
        const parts = FROM_THE_BED.filter((state) => row.states[state] > 0).map((state) => {
          const to = from + shareOf(row.states[state], row);
          const part = html`<rect class=${`bed ${state}`} x=${x} y=${y(to)} width=${width} height=${Math.max(1, y(from) - y(to) - 1)} />`;
          from = to;
          return part;
        });
        return html`
          ${parts}
          <line class="said" x1=${x - 4} x2=${x + width + 4} y1=${y(saidOf(row))} y2=${y(saidOf(row))} />
          ${everyOther && i % 2 !== (rows.length - 1) % 2 ? null : html`<text x=${x + width / 2} y=${HEIGHT - 7} text-anchor="middle">${i === rows.length - 1 ? "today" : monthAndYear(row.day)}</text>`}
        `;
      })}
      <text x=${LEFT - 8} y=${HEIGHT - BOTTOM} text-anchor="end">0</text>
      <text x=${LEFT - 8} y=${y(top / 1.15) + 5} text-anchor="end">${Math.round((100 * top) / 1.15)}\u202f%</text>
    </svg>
  `;
}

function table(rows: readonly CourseRow[]): Html {
  const states = ["out", "heading-out", "leaning", "steady", "unjudged"] as const;
  return html`
    <table class="figures">
      <caption>Units by state at the end of each month; how many were given to leave tolerance before their service, and how many have</caption>
      <thead>
        <tr>
          <th scope="col">On</th>
          <th scope="col" class="number">Units</th>
          ${states.map((state) => html`<th scope="col" class="number">${STATE_LABEL[state]}</th>`)}
          <th scope="col">Leave before service</th>
        </tr>
      </thead>
      <tbody>
        ${rows.map(
          (row) => html`
            <tr>
              <th scope="row">${date(row.day)}</th>
              <td class="number">${count(row.units)}</td>
              ${states.map((state) => html`<td class="number">${count(row.states[state])}</td>`)}
              <td>${courseOutcome(row)}</td>
            </tr>
          `,
        )}
      </tbody>
    </table>
  `;
}
