import type { ReadingFilter } from "./store.ts";

/** The instruments that a filter leaves; null: all of them. */
export function chosenInstruments({ instrument, instruments }: ReadingFilter): ReadonlySet<string> | null {
  if (instrument === undefined) return instruments === undefined ? null : new Set(instruments);
  return new Set(instruments?.includes(instrument) === false ? [] : [instrument]);
}
