import { detached } from "../text/detached.ts";
import { nearName } from "./near-names.ts";

/** A report stays readable; a file with more names than this was written by another list. */
const MOST_NOTES = 10;

/** Lots that the readings of a file name and no register knows. */
export class UnknownLots {
  readonly #readings = new Map<string, number>();

  add(fluidLot: string, readings: number): void {
    const count = this.#readings.get(fluidLot);
    if (count === undefined) this.#readings.set(detached(fluidLot), readings);
    else this.#readings.set(fluidLot, count + readings);
  }

  /** A sentence for each that was likely meant to be a registered one. */
  notes(registered: Iterable<string>): string[] {
    const names = [...registered];
    const notes: string[] = [];
    for (const [lot, readings] of this.#readings) {
      const near = notes.length < MOST_NOTES ? nearName(lot, names) : null;
      if (near === null) continue;
      const count = readings === 1 ? "1 reading names" : `${readings.toLocaleString("en")} readings name`;
      notes.push(`${count} the lot "${lot}", which is not registered, while "${near}" is: the same lot?`);
    }
    return notes;
  }
}
