import type { Kysely } from "kysely";
import { handAtWork } from "./hand.ts";
import type { Tables } from "./tables.ts";
import { hashOf, type TrailEntry, type TrailFilter, type TrailNote, type TrailValue } from "./trail.ts";

/** The trail as queries that any database behind the store answers. */

/**
 * Appends to the chain, within the transaction of the change that is told: where that is undone, so is its entry.
 *
 * @remarks Only one transaction writes a store at a time, so that no two entries follow the same one.
 */
export async function appendTrail(db: Kysely<Tables>, note: TrailNote): Promise<void> {
  const last = await db
    .selectFrom("trail")
    .select(["number", "hash"])
    .orderBy("number", "desc")
    .limit(1)
    .executeTakeFirst();
  if (last !== undefined) {
    await insert(db, note, last.number + 1, last.hash);
    return;
  }
  // Of what a store went through before it had a trail nothing is made up.
  const { revision } = await db.selectFrom("store_state").select("revision").executeTakeFirstOrThrow();
  const began: TrailNote = {
    action: "began",
    about: "the trail",
    after: { revision },
    atMs: note.atMs ?? Date.now(),
  };
  const first = await insert(db, began, 1, "");
  await insert(db, note, 2, first);
}

/** @returns Its hash. */
async function insert(
  db: Kysely<Tables>,
  { action, about, site = null, before, after, who, atMs = Date.now() }: TrailNote,
  number: number,
  previous: string,
): Promise<string> {
  const link = {
    number,
    atMs,
    who: who ?? handAtWork().who,
    way: handAtWork().way,
    action,
    about,
    site,
    before: jsonOf(before),
    after: jsonOf(after),
    previous,
  };
  const { atMs: at_ms, ...columns } = link;
  const hash = hashOf(link);
  await db
    .insertInto("trail")
    .values({ ...columns, at_ms, hash })
    .execute();
  return hash;
}

function jsonOf(value: TrailValue | undefined): string | null {
  return value === undefined ? null : JSON.stringify(value);
}

export function selectTrail(
  db: Kysely<Tables>,
  filter: TrailFilter,
  { offset, limit, newestFirst = false }: { offset: number; limit: number; newestFirst?: boolean },
): Promise<TrailEntry[]> {
  return matching(db, filter)
    .select([
      "number",
      "at_ms as atMs",
      "who",
      "way",
      "action",
      "about",
      "site",
      "before",
      "after",
      "previous",
      "hash",
    ])
    .orderBy("number", newestFirst ? "desc" : "asc")
    .limit(limit)
    .offset(offset)
    .execute();
}

export async function countTrail(db: Kysely<Tables>, filter: TrailFilter): Promise<number> {
  const { entries } = await matching(db, filter)
    .select((of) => of.fn.countAll<number>().as("entries"))
    .executeTakeFirstOrThrow();
  return Number(entries);
}

function matching(db: Kysely<Tables>, { who, about, action, sinceMs, after }: TrailFilter) {
  let query = db.selectFrom("trail");
  if (who !== undefined) query = query.where("who", "=", who);
  if (about !== undefined) query = query.where("about", "=", about);
  if (action !== undefined) query = query.where("action", "=", action);
  if (sinceMs !== undefined) query = query.where("at_ms", ">=", sinceMs);
  if (after !== undefined) query = query.where("number", ">", after);
  return query;
}

/** Where a unit is registered. */
export async function siteOf(db: Kysely<Tables>, instrument: string): Promise<string | null> {
  const row = await db
    .selectFrom("instrument")
    .innerJoin("instrument_register", "instrument_id", "instrument.id")
    .innerJoin("site", "site.id", "site_id")
    .select("site.name as site")
    .where("instrument.name", "=", instrument)
    .executeTakeFirst();
  return row?.site ?? null;
}
