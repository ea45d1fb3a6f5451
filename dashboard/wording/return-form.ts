import type { ReturnFault } from "../page-models/return-form.ts";

/** Sentences of the form that records a return. */

export const RETURN_HEADING = "Record a return from service";

export const RETURN_FOLLOWS =
  "It is taken in like a row of a services file. An adjustment or a repair begins a new life of the unit; an inspection does not. Send its as-found and as-left checks as files.";

export const ACTION_TEXT = {
  adjusted: "brought back to its marks",
  repaired: "parts were changed or mended",
  inspected: "looked at, nothing changed",
} as const;

export function returnFaultText(fault: ReturnFault): string {
  switch (fault) {
    case "unit":
      return "There is no such unit among those that you see.";
    case "day":
      return "Write the day like 2026-03-31.";
    case "future":
      return "This day is still to come.";
    case "action":
      return "Choose what was done.";
    case "by":
      return "Say who records it, in at most 100 characters.";
  }
}
