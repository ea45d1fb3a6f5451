import type { RawRecord } from "./record.ts";

/**
 * Keeps what was worked out from a file's columns until further columns show up, as they may in JSON.
 *
 * @param workOut Called with all columns known so far.
 */
export function forColumns<Plan>(
  workOut: (columns: readonly string[]) => Plan,
): (columns: readonly string[]) => Plan {
  let known = -1;
  let plan: Plan;
  return (columns) => {
    if (columns.length !== known) {
      known = columns.length;
      plan = workOut(columns);
    }
    return plan;
  };
}

/** The text of a field without the spaces around it; what stands in every row where it is empty or not there. */
export function fieldText(record: RawRecord, place: number, constant: string | undefined): string {
  const text = place < 0 ? "" : trimmed(record.fields[place] ?? "");
  return text === "" ? (constant ?? "") : text;
}

/** Most fields have nothing around them, which is seen from their ends faster than by trimming. */
function trimmed(text: string): string {
  return isInk(text.charCodeAt(0)) && isInk(text.charCodeAt(text.length - 1)) ? text : text.trim();
}

function isInk(code: number): boolean {
  return code > 32 && code < 127;
}

/** Why a record as a whole cannot be read; null where its fields can be looked at. */
export function recordProblem(record: RawRecord): string | null {
  if (record.problem !== null) return `The row cannot be read: ${record.problem}.`;
  // In JSON they may stand as escapes.
  const hasEscapes = record.raw.includes("\\u");
  if (record.raw.includes("\0") || (hasEscapes && record.fields.some((field) => field.includes("\0")))) {
    return "The row cannot be read: it holds a zero character.";
  }
  if (hasEscapes && !record.fields.every((field) => field.isWellFormed())) {
    return "The row cannot be read: it holds half of a character, which no file can store.";
  }
  return null;
}
