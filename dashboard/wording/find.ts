import type { FindPage, Found } from "../page-models/find.ts";
import { count, counted } from "./numbers.ts";

/** The head of the finder's page. */
export function foundHeading({ sought, total, found }: FindPage): string {
  if (sought === "") return "What are you looking for?";
  if (total === 0) return `Nothing is called \u201c${sought}\u201d`;
  const shown = found.length < total ? `, the first ${count(found.length)} of them here` : "";
  return `${counted(total, "name")} with \u201c${sought}\u201d${shown}`;
}

/** What kind of thing was found, and where. */
export function foundWhat({ kind, at }: Found): string {
  if (kind === "lot") return "fluid lot";
  if (kind === "site") return "site";
  return at === null ? "unit" : `unit at ${at}`;
}
