import type { HeldState } from "../store/held.ts";
import type { FileIntake, QuarantinedRow, RowPlace } from "../store/store.ts";
import { keptWay, type WayOfReading } from "../way-of-reading.ts";

/** What is told of the rows of a file once they are judged; `columns` as the file has them. */
export interface HeldPlace {
  /** Rows that cannot be used; answers what became of each, see {@link FileIntake.quarantine}. */
  hold(rows: readonly QuarantinedRow[], columns: readonly string[]): Promise<HeldState[]>;
  /** Lines at which rows of earlier files are held: only there is anybody interested in rows that are in use now. */
  lines(): Promise<ReadonlySet<number>>;
  /** Rows at such lines that are in use now, newly or since before. */
  inUse(rows: readonly RowPlace[], columns: readonly string[]): Promise<void>;
}

/** Holds the rows of a file back within its own transaction. */
export function inFile(way: WayOfReading, intake: FileIntake): HeldPlace {
  return {
    hold: (rows, columns) => intake.quarantine(rows, keptWay(way, columns)),
    lines: () => intake.heldLines(),
    inUse: (rows, columns) => intake.settleHeld(rows, keptWay(way, columns).header),
  };
}
