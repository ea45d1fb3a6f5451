import type { Judgement } from "../../ingest/index.ts";
import { signedAs } from "../access/person.ts";
import { DAY_MS, dayOfIso, endOfDayMs } from "../assessment/days.ts";
import type { UnitReading, UnitView } from "../assessment/views.ts";
import { HttpError } from "../errors.ts";

/** What a person may note on a unit's page; taking a note back has a page of its own. */
const NOTE_KINDS = ["remark", "step-cause", "set-aside", "baseline"] as const;
export type NoteKind = (typeof NOTE_KINDS)[number];

/** A note as somebody is writing it, and what is still amiss with it. */
export interface NoteForm {
  readonly instrument: string;
  readonly asOf: string;
  readonly kind: NoteKind;
  /** set-aside: the check that is meant, its readings from low torque to high; null for other kinds. */
  readonly check: { readonly atMs: number; readonly readings: readonly UnitReading[] } | null;
  /** set-aside: only the reading at this speed; empty: the whole check. */
  readonly speed: string;
  /** Other kinds: the day it is about, as written. */
  readonly on: string;
  readonly why: string;
  readonly by: string;
  readonly trouble: NoteTrouble | null;
  /** Whether the page shows an earlier day, on which a note written now is not known yet. */
  readonly isOfEarlierDay: boolean;
}

/** The first field that is not right. */
export interface NoteTrouble {
  readonly field: "on" | "why" | "by";
  readonly rule: "day" | "future" | "missing" | "long";
}

const LONGEST_TEXT = 2000;

/**
 * Reads a form as it was asked for or sent.
 *
 * @param fields Of the address or of the body.
 * @throws {HttpError} 400 for a kind there is not, 404 for a check that the unit has not.
 */
export function readNoteForm(
  view: UnitView,
  fields: Readonly<Record<string, unknown>>,
  nowMs: number,
): NoteForm {
  const text = (name: string): string => (typeof fields[name] === "string" ? fields[name].trim() : "");
  const kind = NOTE_KINDS.find((candidate) => candidate === text("kind"));
  if (kind === undefined) {
    throw new HttpError(
      400,
      "There is no such note.",
      "The unit\u2019s page has a link for each kind of note.",
    );
  }
  const check = kind === "set-aside" ? checkAt(view, text("at")) : null;
  const speed = check?.readings.some(({ speedRpm }) => String(speedRpm) === text("speed"))
    ? text("speed")
    : "";
  return {
    instrument: view.instrument.instrument,
    asOf: view.asOf,
    kind,
    check,
    speed,
    on: text("on"),
    why: text("why"),
    by: signedAs(text("by")),
    trouble: null,
    isOfEarlierDay: endOfDayMs(view.asOf) < nowMs,
  };
}

function checkAt(view: UnitView, at: string): NonNullable<NoteForm["check"]> {
  const atMs = Number(at);
  const reading = view.readings.find(({ day }) => Math.round(day * DAY_MS) === atMs);
  if (at !== "" && reading !== undefined) {
    return { atMs, readings: view.readings.filter(({ check }) => check === reading.check) };
  }
  throw new HttpError(
    404,
    "There is no check at this time.",
    "The unit\u2019s table of checks has a link beside each.",
  );
}

/** The same form with what is amiss, or null trouble where it can be kept. */
export function examined(form: NoteForm, nowMs: number): NoteForm {
  return { ...form, trouble: troubleOf(form, nowMs) };
}

function troubleOf({ kind, on, why, by }: NoteForm, nowMs: number): NoteTrouble | null {
  if (kind !== "set-aside") {
    if (!isDay(on)) return { field: "on", rule: "day" };
    if (dayOfIso(on) * DAY_MS > nowMs) return { field: "on", rule: "future" };
  }
  return textTrouble("why", why) ?? textTrouble("by", by);
}

/** What is amiss with a reason or a name; null: nothing. */
export function textTrouble(field: "why" | "by", text: string): NoteTrouble | null {
  if (text === "") return { field, rule: "missing" };
  return text.length > LONGEST_TEXT ? { field, rule: "long" } : null;
}

function isDay(text: string): boolean {
  const ms = Date.parse(text);
  return /^\d{4}-\d{2}-\d{2}$/.test(text) && !Number.isNaN(ms) && new Date(ms).toISOString().startsWith(text);
}

/** The note that a sound form makes. */
export function noteOf(form: NoteForm, nowMs: number): Omit<Judgement, "id"> {
  const { kind, instrument, check, speed, on, why, by } = form;
  return {
    kind,
    instrument,
    madeAtMs: nowMs,
    by,
    why,
    checkedAtMs: check?.atMs ?? null,
    speedRpm: check === null || speed === "" ? null : Number(speed),
    onDay: check === null ? on : null,
    undoes: null,
  };
}

/** Where a note of a kind is written. */
export function noteFormAddress(
  instrument: string,
  kind: NoteKind,
  about: Readonly<Record<string, string>> = {},
): string {
  return `/units/${encodeURIComponent(instrument)}/notes?${new URLSearchParams({ kind, ...about })}`;
}

/** Where a check is set aside. */
export function setAsideAddress(instrument: string, { day }: UnitReading): string {
  return noteFormAddress(instrument, "set-aside", { at: String(Math.round(day * DAY_MS)) });
}

/** The page of one note, where it can be taken back. */
export function noteAddress(instrument: string, id: number): string {
  return `/units/${encodeURIComponent(instrument)}/notes/${id}`;
}
