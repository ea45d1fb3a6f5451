import type { NoteForm, NoteKind, NoteTrouble } from "../page-models/note-form.ts";
import { date, dateOfIso } from "./dates.ts";

/** The head of the page on which a note is written. */
export function noteHeading({ kind, instrument, check }: NoteForm): string {
  if (check !== null) return `Set aside the check of ${date(check.readings[0]!.day)} of ${instrument}`;
  return HEADING[kind](instrument);
}

const HEADING: Readonly<Record<NoteKind, (instrument: string) => string>> = {
  remark: (instrument) => `Write a remark on ${instrument}`,
  "step-cause": (instrument) => `Settle what a step of ${instrument} came from`,
  "set-aside": (instrument) => `Set aside a check of ${instrument}`,
  baseline: (instrument) => `Fit the limits of ${instrument} anew`,
};

/** What follows from a note of this kind. */
export const NOTE_FOLLOWS: Readonly<Record<NoteKind, string>> = {
  remark: "It stands on the unit\u2019s page with your name and the time. No figure changes.",
  "step-cause":
    "It stands beside the step and its signals, with your name and the time, in the place of what coincided with it. No figure changes.",
  "set-aside":
    "Forecast, charts and lines are worked out anew without it. It stays in the table of checks, marked as not used, and on record with your name and the time.",
  baseline:
    "From that day on the limits of its control charts are fitted to its first eight checks, and signals are judged by those. Earlier signals stay as they were raised. Do so only where a known and settled change is the reason: a drift fitted anew is a drift no longer seen.",
};

export const CAN_BE_UNDONE =
  "Nothing is deleted: a note can be taken back at any time, and that is on record too.";

/** Said where a note written now does not show in what the page shows. */
export function earlierDayText(asOf: string): string {
  return `These pages show ${dateOfIso(asOf)}. What is noted now is known from today on, and does not change what was known then.`;
}

export const WHY_LABEL: Readonly<Record<NoteKind, string>> = {
  remark: "Remark",
  "step-cause": "Cause",
  "set-aside": "Reason",
  baseline: "Reason",
};

const MISSING: Readonly<Record<NoteTrouble["field"], string>> = {
  on: "Say which day it is about.",
  why: "Say why, for whoever reads it later.",
  by: "Say who decides: your name or short sign.",
};

/** What is amiss with a field, and the way out, in one line. */
export function troubleText({ field, rule }: NoteTrouble): string {
  switch (rule) {
    case "missing":
      return MISSING[field];
    case "day":
      return "The day is not a date: choose one, or write it like 2026-03-31.";
    case "future":
      return "The day lies ahead: choose today or a day before.";
    case "long":
      return "That is more than 2,000 letters: say it shorter.";
  }
}
