import { html } from "htm/preact";
import type { PatternName } from "../../analysis/index.ts";
import { isoOfDay } from "../assessment/days.ts";
import type { Fact, WithoutShared } from "../page-models/evidence.ts";
import { noteFormAddress } from "../page-models/note-form.ts";
import type { UnitPage } from "../page-models/unit.ts";
import { OUT_OF_USE } from "../wording/cautions.ts";
import {
  bookingText,
  explanationLabel,
  factText,
  gapText,
  patternText,
  STEP_IN_FULL,
  TOO_LITTLE_KNOWN,
  withoutSharedCaption,
} from "../wording/evidence.ts";
import { percent, signed } from "../wording/numbers.ts";
import { BAND_LABEL } from "../wording/states.ts";
import { figured } from "./figured.ts";
import type { Html } from "./layout.ts";

/** What the figures say: the pattern in words, the explanations weighed, then for it, not known, do next. */
export function evidenceSection({ evidence, forecast, asOfDay, instrument }: UnitPage): Html {
  const booking = bookingText(evidence, asOfDay);
  return html`
    <section class="evidence" aria-labelledby="evidence-head">
      <h2 id="evidence-head">What the figures say${figured("stands-today")}</h2>
      ${
        forecast.state === "unjudged"
          ? html`<p class="said">${forecast.note ?? TOO_LITTLE_KNOWN}</p>`
          : html`<p class="said">${patternText(forecast)}</p>`
      }
      ${evidence.explanations.length === 0 ? null : explanationBars(evidence.explanations, forecast.pattern.name)}
      <dl class="points">
        ${evidence.forIt.length === 0 ? null : html`<dt>For it</dt>${evidence.forIt.map((fact) => html`<dd>${factText(fact)}${settleLink(fact, instrument)}</dd>`)}`}
        ${evidence.notKnown.length === 0 ? null : html`<dt>Not known</dt>${evidence.notKnown.map((gap) => html`<dd>${gapText(gap)}</dd>`)}`}
        <dt>Do next</dt>
        ${evidence.out ? html`<dd>${OUT_OF_USE}</dd>` : null}
        <dd>${STEP_IN_FULL[evidence.step]}</dd>
        ${booking === null ? null : html`<dd>${booking}</dd>`}
      </dl>
      ${evidence.latestCheck.length === 0 ? null : withoutSharedTable(evidence.latestCheck)}
    </section>
  `;
}

/** The latest check as it was read, and as an average lot and a perfect bath would have it. */
function withoutSharedTable(bands: readonly WithoutShared[]): Html {
  return html`
    <table class="figures without-shared">
      <caption>${withoutSharedCaption(bands)}</caption>
      <thead>
        <tr><th scope="col">Error over tolerance</th><th scope="col" class="number">As read</th><th scope="col" class="number">Average lot, perfect bath</th><th scope="col" class="number">Today, by all checks</th></tr>
      </thead>
      <tbody>
        ${bands.map(
          ({ band, asRead, own, now }) => html`
            <tr><th scope="row">${BAND_LABEL[band]}</th><td class="number">${signed(asRead, 2)}</td><td class="number">${signed(own, 2)}</td><td class="number">${signed(now, 2)}</td></tr>
          `,
        )}
      </tbody>
    </table>
  `;
}

/** Where somebody who knows says what a step came from. */
function settleLink(fact: Fact, instrument: string): Html {
  if (fact.kind !== "step" || fact.settled !== null) return null;
  const on = isoOfDay(fact.step.betweenDays[1]);
  return html` <a href=${noteFormAddress(instrument, "step-cause", { on })}>Settle what it came from</a>`;
}

/** Each explanation with its share as a bar, a percentage and words. */
function explanationBars(
  explanations: readonly { readonly name: string; readonly weight: number }[],
  pattern: PatternName,
): Html {
  return html`
    <table class="explanations">
      <caption class="unseen">Explanations weighed, likeliest first</caption>
      <tbody>
        ${explanations.map(
          ({ name, weight }, i) => html`
            <tr class=${i === 0 ? "first" : ""}>
              <th scope="row">${explanationLabel(name, pattern)}</th>
              <td class="weight">
                <svg viewBox="0 0 100 6" preserveAspectRatio="none" aria-hidden="true" focusable="false">
                  <path class="trough" d="M0 3H100" vector-effect="non-scaling-stroke" />
                  <path class="fill" d=${`M0 3H${weight * 100}`} vector-effect="non-scaling-stroke" />
                </svg>
              </td>
              <td class="number">${percent(weight)}</td>
            </tr>
          `,
        )}
      </tbody>
    </table>
  `;
}
