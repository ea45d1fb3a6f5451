import type { OpenedFile } from "./open-file.ts";
import { flagsOf } from "./store/flag-bits.ts";
import type { HeldState } from "./store/held.ts";
import type { FileKind, Flag, QuarantinedRow, Reason } from "./store/store.ts";

/** What came of one file. Always rows = accepted + repeated + quarantined. */
export interface FileReport {
  readonly file: string;
  /** null where the file could not be read far enough to tell. */
  readonly kind: FileKind | null;
  /** Readings (a check with three is three), or register rows. */
  readonly rows: number;
  readonly accepted: number;
  readonly repeated: number;
  readonly quarantined: number;
  /** Accepted with at least one flag. */
  readonly flagged: number;
  readonly reasons: Readonly<Partial<Record<Reason, number>>>;
  readonly flags: Readonly<Partial<Record<Flag, number>>>;
  /** The first held rows of each reason, for people to see what is meant. */
  readonly first_held: readonly HeldExample[];
  /** What is worth a look though it holds nothing back, as sentences. */
  readonly notes: readonly string[];
  /** How its bytes were understood, so that it can be overruled by a profile; null where they were not. */
  readonly read_as: ReadAs | null;
  /** Why nothing of this file was kept; null where all went well. */
  readonly error: string | null;
}

/** A held row, as a report names it. */
export type HeldExample = Pick<QuarantinedRow, "reason" | "line" | "part" | "message">;

/** How the bytes of a file were understood. */
export interface ReadAs {
  readonly form: "csv" | "json-objects" | "json-lines";
  readonly encoding: string;
  /** null for JSON. */
  readonly delimiter: string | null;
  readonly decimal: "." | ",";
  /** How its dates are written, as a profile says it; null for ISO 8601. */
  readonly dates: string | null;
  /** Where times without an offset are taken to be. */
  readonly time_zone: string;
}

/** The counts of one file, or of all. */
export type Totals = Pick<FileReport, "rows" | "accepted" | "repeated" | "quarantined" | "flagged">;

/** What `ingest --json` prints. */
export interface IngestReport {
  readonly files: readonly FileReport[];
  readonly totals: Totals;
}

/** Held rows of one reason that a report names. */
const EXAMPLES = 3;

/** Counts while a file is taken in. */
export class Tally {
  accepted = 0;
  repeated = 0;
  quarantined = 0;
  flagged = 0;
  readonly reasons: Partial<Record<Reason, number>> = {};
  readonly flags: Partial<Record<Flag, number>> = {};
  readonly firstHeld: HeldExample[] = [];
  readonly notes: string[] = [];

  get rows(): number {
    return this.accepted + this.repeated + this.quarantined;
  }

  /** @param bits The flags of a reading, see `flagBits`. */
  accept(bits: number): void {
    this.accepted++;
    if (bits === 0) return;
    this.flagged++;
    for (const flag of flagsOf(bits)) this.flags[flag] = (this.flags[flag] ?? 0) + 1;
  }

  /** A flag given after the reading was accepted. */
  addFlag(flag: Flag, isItsFirst: boolean): void {
    this.flags[flag] = (this.flags[flag] ?? 0) + 1;
    if (isItsFirst) this.flagged++;
  }

  /** Rows that were held back, and what became of each: one that was mended and let in before is a repeat. */
  hold(rows: readonly HeldExample[], states: readonly HeldState[]): void {
    for (const [i, { reason, line, part, message }] of rows.entries()) {
      if (states[i] === "accepted") {
        this.repeated++;
        continue;
      }
      this.quarantined++;
      const count = (this.reasons[reason] ?? 0) + 1;
      this.reasons[reason] = count;
      if (count <= EXAMPLES) this.firstHeld.push({ reason, line, part, message });
    }
  }

  totals(): Totals {
    const { rows, accepted, repeated, quarantined, flagged } = this;
    return { rows, accepted, repeated, quarantined, flagged };
  }
}

const NO_FINDINGS = { reasons: {}, flags: {}, first_held: [], notes: [] };

function found(findings: Pick<Tally, "reasons" | "flags" | "firstHeld" | "notes"> | null) {
  if (findings === null) return NO_FINDINGS;
  const { reasons, flags, firstHeld, notes } = findings;
  return { reasons, flags, first_held: firstHeld, notes };
}

/** The report of a file of which nothing was kept. */
export function failedFile(file: string, kind: FileKind | null, error: string): FileReport {
  return { file, kind, ...new Tally().totals(), ...NO_FINDINGS, read_as: null, error };
}

/** The report of a file that was taken in. */
export function reportOf(
  file: OpenedFile,
  totals: Totals,
  findings: Pick<Tally, "reasons" | "flags" | "firstHeld" | "notes"> | null = null,
): FileReport {
  const { path, kind, form, encoding, decimal, profile } = file;
  const delimiter = form.name === "csv" ? form.delimiter : null;
  const { format: dates, zone } = profile.times;
  const time_zone = zone === "utc" ? "UTC" : zone;
  const readAs = { form: form.name, encoding, delimiter, decimal, dates, time_zone };
  return { file: path, kind, ...totals, ...found(findings), read_as: readAs, error: null };
}

/** The counts of all files together. */
export function addTotals(files: readonly FileReport[]): Totals {
  const sum = (count: (file: FileReport) => number) => files.reduce((total, file) => total + count(file), 0);
  return {
    rows: sum((file) => file.rows),
    accepted: sum((file) => file.accepted),
    repeated: sum((file) => file.repeated),
    quarantined: sum((file) => file.quarantined),
    flagged: sum((file) => file.flagged),
  };
}
