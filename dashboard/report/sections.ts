import { html } from "htm/preact";
import type { Html } from "../pages/layout.ts";
import { date } from "../wording/dates.ts";
import {
  boundsText,
  DECISION_LABEL,
  FINDINGS_CAUTION,
  foundText,
  offText,
  standsText,
  windowText,
} from "../wording/findings.ts";
import { judgementText } from "../wording/judgements.ts";
import { count, counted, sentenceCase } from "../wording/numbers.ts";
import { CLAUSES } from "../wording/report.ts";
import { budgetInWords, signalNote } from "../wording/signals.ts";
import { signalsOfPeriod } from "./figures.ts";
import { type EvidencePack, PERIOD_DAYS } from "./gather.ts";
import { section, table } from "./table.ts";

/** What the charts raised in the period. */
export function signalsSection(pack: EvidencePack, file: string): Html {
  const signals = signalsOfPeriod(pack);
  return section(
    "Signals",
    CLAUSES.signals,
    file,
    html`
      <p>${`${counted(signals.length, "signal")} within the last ${PERIOD_DAYS} days. ${budgetInWords(pack.watch)}`}</p>
      ${table(
        ["Unit", ">Signals", "Latest", "What was seen then"],
        unitsSignalled(signals),
        "The charts raised nothing.",
        "watched",
      )}
    `,
  );
}

/** One row a unit, the latest first: every signal by itself is in the figures. */
function unitsSignalled(signals: ReturnType<typeof signalsOfPeriod>): string[][] {
  const byUnit = Map.groupBy(signals, ({ instrument }) => instrument);
  return [...byUnit]
    .map(([instrument, own]) => ({ instrument, own, last: own.at(-1)! }))
    .sort((a, b) => b.last.onDay - a.last.onDay || (a.instrument < b.instrument ? -1 : 1))
    .map(({ instrument, own, last }) => [
      instrument,
      count(own.length),
      date(last.onDay),
      `${sentenceCase(last.chart)}: ${signalNote(last)}`,
    ]);
}

/** What people decided about them. */
export function notesSection({ notes }: EvidencePack, file: string): Html {
  return section(
    "What was done",
    CLAUSES.signals,
    file,
    table(
      ["Unit", "Note"],
      notes.map((note) => [note.instrument, judgementText(note)]),
      "No note is on record.",
    ),
  );
}

export function findingsSection({ findings, fromDay }: EvidencePack, file: string): Html {
  return section(
    "Units found out of tolerance",
    CLAUSES.findings,
    file,
    html`
      <p>${`Since ${date(fromDay)}. ${FINDINGS_CAUTION}`}</p>
      ${
        findings.length === 0
          ? html`<p class="soft">None was found.</p>`
          : findings.map(
              (finding) => html`
                <article>
                  <h3>${`${finding.found.instrument}${finding.found.site === null ? "" : `, ${finding.found.site}`}`}</h3>
                  <p>${`Found ${foundText(finding.found)}. ${windowText(finding.since)}`}</p>
                  <p>${`As read: ${boundsText(finding.since)}.`}</p>
                  ${
                    finding.since === null
                      ? null
                      : html`<p>${`A result then may be off by ${finding.since.offNow
                          .filter(({ torquePercent }) => [20, 50, 80].includes(torquePercent))
                          .map(offText)
                          .join("; ")}.`}</p>`
                  }
                  <p class="stands">${`It stands: ${standsText(finding)}.`}</p>
                  ${decisions(finding.record)}
                </article>
              `,
            )
      }
    `,
  );
}

function decisions(record: EvidencePack["findings"][number]["record"]): Html {
  if (record === null) return null;
  return html`
    <ul>
      <li>${`${date(record.openedAtMs / 86_400_000)}, ${record.by}: ${record.why}`}</li>
      ${record.decisions.map(
        ({ decidedAtMs, by, decision, why }) =>
          html`<li>${`${date(decidedAtMs / 86_400_000)}, ${by}: ${DECISION_LABEL[decision]}; ${why}`}</li>`,
      )}
    </ul>
  `;
}

/** Forecasts made in the past, and what came of them. */
export function recordSection({ record }: EvidencePack, file: string): Html {
  if (record === null || record.forecasts.length === 0) {
    return section(
      "The forecast\u2019s record",
      CLAUSES.record,
      null,
      html`<p class="soft">No forecast can be held against what came yet: no service has come since.</p>`,
    );
  }
  const { forecasts, reliability, skill, leadTime, coverage } = record;
  const out = forecasts.filter(({ wentOut }) => wentOut).length;
  const skillText =
    skill.overBaseRate === null ? "" : ` Skill over the base rate (Brier): ${skill.overBaseRate.toFixed(2)}.`;
  const coverageText =
    coverage === null
      ? ""
      : ` Of ${count(coverage.checks)} later readings ${percentOf(coverage.ninety)} lay within their 90\u202f% interval.`;
  return section(
    "The forecast\u2019s record",
    CLAUSES.record,
    file,
    html`
      <p>
        ${`${counted(forecasts.length, "forecast")} made on ${record.madeOnDays.map(date).join(" and ")} with what was known then, held against what came: ${counted(out, "unit")} went out, ${count(leadTime.announced)} of ${count(leadTime.wentOut)} lives were announced before.${skillText}${coverageText}${out < 20 ? " Fewer than 20 went out: too few to judge by." : ""}`}
      </p>
      ${table(
        [">Forecasts", ">Said on average", ">Came", ">95 % interval of what came"],
        reliability.map((bin) => [
          count(bin.count),
          percentOf(bin.meanProbability),
          percentOf(bin.observed),
          `${percentOf(bin.lower)} to ${percentOf(bin.upper)}`,
        ]),
        "",
      )}
    `,
  );
}

function percentOf(share: number): string {
  return `${(100 * share).toFixed(1)}\u202f%`;
}

/** The rules in force, one a row, and who put them in force. */
export function rulesSection({ settings, settingsChange }: EvidencePack): Html {
  const since =
    settingsChange === null
      ? "The defaults: nobody has set others."
      : `In force since ${date(settingsChange.setAtMs / 86_400_000)}, set by ${settingsChange.by}.`;
  return section(
    "Rules in force",
    CLAUSES.rules,
    null,
    html`
      <p>${since}</p>
      ${table(["Rule", "Value"], flat(settings, ""), "")}
    `,
  );
}

function flat(value: unknown, name: string): string[][] {
  if (typeof value !== "object" || value === null) return [[name, String(value)]];
  const entries = Object.entries(value);
  if (entries.length === 0) return [[name, "none"]];
  return entries.flatMap(([key, inner]) => flat(inner, name === "" ? key : `${name}.${key}`));
}
