import type { TrailEntry, TrailProof } from "../../ingest/index.ts";
import { date } from "./dates.ts";
import { count, counted } from "./numbers.ts";

/** Sentences about the trail. */

const DAY_MS = 86_400_000;

/** What was done, as whoever reads the list says it. */
export function actionText(action: string): string {
  return action.replaceAll("-", " ");
}

/** In what way the change came. */
export function wayText(way: string): string {
  return way === "api" ? "by a program" : `by a ${way}`;
}

export function trailHeadline(entries: number, latest: TrailEntry | undefined): string {
  if (latest === undefined) return "Nothing is on the trail yet.";
  return `${counted(entries, "change is", "changes are")} on record, the latest of ${date(latest.atMs / DAY_MS)}.`;
}

export const TRAIL_HOLDS =
  "Entries are only ever added. Each holds the hash of the one before, so that one that is changed or taken out shows.";

/** What came of following the chain. */
export function proofText(
  { entries, head }: TrailProof,
  ends: { readonly first: TrailEntry; readonly last: TrailEntry } | null,
): string {
  if (ends === null) return "Nothing is on the trail yet.\n";
  const [from, to] = [ends.first, ends.last].map(({ atMs }) => date(atMs / DAY_MS));
  const span = from === to ? `all of ${from}` : `from ${from} to ${to}`;
  return [
    `${counted(entries, "entry", "entries")}, ${span}, each following from the one before. The last one's hash:`,
    "",
    `    ${head}`,
    "",
    "Write it down elsewhere: springtide trail verify --against HASH then shows later whether all that stands now still does.",
    "",
  ].join("\n");
}

/** Why a trail cannot be trusted; null where nothing stands against it. */
export function faultText({ entries, brokenAt, holdsGiven }: TrailProof): string | null {
  if (brokenAt !== null) {
    return `the trail is broken at entry ${count(brokenAt)}: it is not as it was written, or one before it is missing`;
  }
  if (holdsGiven === false) {
    return `the trail of ${counted(entries, "entry", "entries")} holds together, but the hash that was written down is not in it: its end was cut off, or it is another store's`;
  }
  return null;
}
