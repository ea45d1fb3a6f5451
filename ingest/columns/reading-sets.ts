import { READING_COLUMNS, type ReadingColumn } from "./columns.ts";

/** Where one reading's fields stand in a row: one set in the long form, one per number in the wide form. */
export interface ReadingSet {
  /** The number in the column names; 0 in the long form. */
  readonly number: number;
  /** Place of each column in the row; -1 where the file has none. */
  readonly places: Readonly<Record<ReadingColumn, number>>;
  /** Places of the numbered columns: where all are empty there is no such reading. */
  readonly numberedPlaces: readonly number[];
}

const NUMBERED = /^(.+)_(\d{1,4})$/;
const KNOWN: ReadonlySet<string> = new Set(READING_COLUMNS);

/** Takes `speed_rpm_2` apart; null for a name that is no numbered column of readings. */
export function numberedColumn(name: string): { column: ReadingColumn; number: number } | null {
  const match = NUMBERED.exec(name);
  if (match === null || !KNOWN.has(match[1]!)) return null;
  return { column: match[1] as ReadingColumn, number: Number(match[2]) };
}

/**
 * The readings that each row of a file holds, in the order of their numbers.
 *
 * @param names Canonical names of the file's columns, in their order.
 */
export function readingSets(names: readonly string[]): readonly ReadingSet[] {
  const shared = Object.fromEntries(READING_COLUMNS.map((column) => [column, names.indexOf(column)]));
  const sets = new Map<number, { places: Record<string, number>; numberedPlaces: number[] }>();
  for (const [place, name] of names.entries()) {
    const numbered = numberedColumn(name);
    if (numbered === null) continue;
    let set = sets.get(numbered.number);
    if (set === undefined) {
      set = { places: { ...shared }, numberedPlaces: [] };
      sets.set(numbered.number, set);
    }
    set.places[numbered.column] = place;
    set.numberedPlaces.push(place);
  }
  if (sets.size === 0) sets.set(0, { places: shared, numberedPlaces: [] });
  return [...sets.entries()]
    .sort(([a], [b]) => a - b)
    .map(([number, set]) => ({ number, ...set, places: set.places as Record<ReadingColumn, number> }));
}
