import { createHash } from "node:crypto";

/**
 * The trail: every change of a store as one entry, in the order in which they were made. Each entry holds the hash of
 * the one before, so that an entry that is changed, taken out or put in shows in all that follow.
 */

/** What was done, in few words. */
export const TRAIL_ACTIONS = [
  "began",
  "took-in",
  "settled-held-row",
  "changed-settings",
  "noted",
  "opened-finding",
  "decided-finding",
  "booked",
  "signed-in",
  "refused-sign-in",
  "signed-out",
  "added-person",
  "changed-person",
  "made-token",
  "revoked-token",
  "restored",
] as const;
export type TrailAction = (typeof TRAIL_ACTIONS)[number];

/** A value that JSON can tell. */
export type TrailValue =
  | string
  | number
  | boolean
  | null
  | readonly TrailValue[]
  | { readonly [key: string]: TrailValue };

/** What is told of a change. */
export interface TrailNote {
  readonly action: TrailAction;
  /** What it is about: a unit, a file, a person. */
  readonly about: string;
  /** Where it belongs to one. */
  readonly site?: string | null;
  readonly before?: TrailValue;
  readonly after?: TrailValue;
  /** Who, where that is not whoever is at work: one who has just signed in. */
  readonly who?: string;
  /** When, where the change says so itself. Unit: ms since 1970-01-01 UTC. */
  readonly atMs?: number;
}

/** One link of the chain. */
export interface TrailEntry {
  /** 1, 2, 3 … without a gap. */
  readonly number: number;
  /** By the clock of whoever wrote it: the order is that of the numbers. */
  readonly atMs: number;
  readonly who: string;
  readonly way: string;
  readonly action: string;
  readonly about: string;
  readonly site: string | null;
  /** JSON; null: nothing. */
  readonly before: string | null;
  readonly after: string | null;
  /** Hash of the entry before; empty for the first. */
  readonly previous: string;
  readonly hash: string;
}

/** Which entries are looked at; all where nothing is said. */
export interface TrailFilter {
  readonly who?: string | undefined;
  readonly about?: string | undefined;
  readonly action?: string | undefined;
  readonly sinceMs?: number | undefined;
  /** Only entries after the one of this number. */
  readonly after?: number | undefined;
}

export interface Trail {
  /** @param part Latest first where `newestFirst`, else oldest first. */
  list(
    filter: TrailFilter,
    part: { readonly offset: number; readonly limit: number; readonly newestFirst?: boolean },
  ): Promise<readonly TrailEntry[]>;
  count(filter: TrailFilter): Promise<number>;
  /** Appends what belongs to no other change of the store. */
  append(note: TrailNote): Promise<void>;
}

/**
 * The hash of an entry: SHA-256 (FIPS 180-4) over its parts and the hash before as a JSON array of texts, whole numbers
 * and nulls, which JSON.stringify writes in the canonical form of RFC 8785. Hexadecimal, 64 digits.
 */
export function hashOf(entry: Omit<TrailEntry, "hash">): string {
  const { number, atMs, who, way, action, about, site, before, after, previous } = entry;
  const text = JSON.stringify([previous, number, atMs, who, way, action, about, site, before, after]);
  return createHash("sha256").update(text).digest("hex");
}

/** How far a trail holds together. */
export interface TrailProof {
  readonly entries: number;
  /** Hash of the last entry: written down elsewhere it shows later that nothing was cut off. Empty without entries. */
  readonly head: string;
  /** The number at which the chain breaks first; null: it holds. */
  readonly brokenAt: number | null;
  /** Whether the hash that was written down elsewhere is one of the chain's; null: none was given. */
  readonly holdsGiven: boolean | null;
}

const AT_ONCE = 5000;

/** Follows the whole chain. @param given A head that was written down earlier. */
export async function proveTrail(trail: Trail, given: string | null = null): Promise<TrailProof> {
  let entries = 0;
  let head = "";
  let holdsGiven = given === null ? null : false;
  for (;;) {
    const part = await trail.list({ after: entries }, { offset: 0, limit: AT_ONCE });
    for (const entry of part) {
      const isNext = entry.number === entries + 1 && entry.previous === head;
      if (!isNext || hashOf(entry) !== entry.hash) {
        return { entries, head, brokenAt: entries + 1, holdsGiven };
      }
      entries++;
      head = entry.hash;
      if (entry.hash === given) holdsGiven = true;
    }
    if (part.length < AT_ONCE) return { entries, head, brokenAt: null, holdsGiven };
  }
}
