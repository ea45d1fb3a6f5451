import type { HeldAction, HeldDecision, HeldRow, HeldState } from "../../ingest/index.ts";
import { date } from "./dates.ts";
import { counted } from "./numbers.ts";

/** What can be done about rows that were held back, in a sentence. */
export const HELD_CAUTION =
  "A row is mended from the record of the check itself, not from what would pass: what is put here enters every figure of its unit.";

const ACTIONS: Readonly<Record<HeldAction, string>> = {
  mended: "mended",
  released: "read again",
  replaced: "put in the place of the stored reading",
  dismissed: "dismissed",
  "sent-again": "taken in when its file came again",
};

const STATES: Readonly<Record<HeldState, string>> = {
  held: "held back",
  accepted: "in use",
  dismissed: "dismissed",
};

export function heldStateText(state: HeldState): string {
  return STATES[state];
}

/** "a.csv, line 12, reading 2". */
export function heldPlaceText({ file, line, part }: Pick<HeldRow, "file" | "line" | "part">): string {
  return `${file}, line ${line}${part > 0 ? `, reading ${part}` : ""}`;
}

/** "1 Apr 2026, Ida: mended (reading_mpas: 95.6): the sheet says so. Still held back: …". */
export function heldDecisionText(decision: HeldDecision): string {
  const { madeAtMs, by, action, mend, why, outcome, message } = decision;
  const values = Object.entries(mend?.values ?? {}).map(([column, value]) => `${column}: ${value}`);
  const mends = mend?.row === undefined ? values.join(", ") : `the whole row: ${mend.row}`;
  const what = `${ACTIONS[action]}${mends === "" ? "" : ` (${mends})`}`;
  const who = by === null ? "" : `, ${by}`;
  const result = outcome === "held" ? ` Still held back: ${message}` : "";
  return `${date(madeAtMs / 86_400_000)}${who}: ${what}${why === null ? "." : `: ${ended(why)}`}${result}`;
}

/** How many rows wait, in a sentence. */
export function heldHeadline(rows: number): string {
  if (rows === 0) return "No row is held back.";
  return rows === 1 ? "One row is held back." : `${counted(rows, "row")} are held back.`;
}

/** What came of reading rows again. */
export function releasedText(accepted: number, held: number): string {
  const parts = [
    accepted > 0 ? `${counted(accepted, "row")} ${accepted === 1 ? "is" : "are"} in use now` : "",
    held > 0 ? `${counted(held, "row")} ${held === 1 ? "stays" : "stay"} held back` : "",
  ].filter((part) => part !== "");
  return parts.length === 0 ? "There was nothing to read again." : `${parts.join(", ")}.`;
}

function ended(sentence: string): string {
  return /[.!?]$/.test(sentence) ? sentence : `${sentence}.`;
}
