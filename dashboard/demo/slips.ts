import type { Cells } from "./columns.ts";
import type { Check } from "./history.ts";
import type { RandomSource } from "./random.ts";

/** The forms in which sites send their readings. */
export const FORM_NAMES = ["long-csv", "wide-csv", "nested-json", "ndjson"] as const;
export type FormName = (typeof FORM_NAMES)[number];

/** What should become of a row that is taken in: used, known already, or held back for a reason. */
export type Fate =
  | { readonly kind: "accepted"; readonly flags: readonly string[] }
  | { readonly kind: "repeated" }
  | { readonly kind: "quarantined"; readonly reason: string };

/** One reading as it is sent. `extraField` is text that does not belong into the row. */
export interface SentRow {
  readonly cells: Cells;
  readonly fate: Fate;
  readonly extraField?: string;
}

/** A slip people make when they record or send a check: the check's rows in, the rows as sent out. */
interface Slip {
  readonly forms: readonly FormName[];
  readonly make: (rows: readonly SentRow[], check: Check, random: RandomSource) => readonly SentRow[];
}

const ALL = FORM_NAMES;
const ONE_ROW_A_READING: readonly FormName[] = ["long-csv", "ndjson"];
/** The nested form leaves value and range to the registers. */
const WITH_VALUE_AND_RANGE: readonly FormName[] = ["long-csv", "wide-csv", "ndjson"];

const SLIPS: readonly Slip[] = [
  // A letter for a digit.
  {
    forms: ALL,
    make: oneReading("not-a-number", (c) => ({ reading_mpas: c.reading_mpas.replace(/\d$/, "O") })),
  },
  // A dash before the number.
  { forms: ALL, make: oneReading("negative", (c) => ({ reading_mpas: `-${c.reading_mpas}` })) },
  // The decimal point one place too far.
  { forms: ALL, make: oneReading("over-range", (c) => ({ reading_mpas: scaled(c.reading_mpas, 10) })) },
  // Pa·s for mPa·s.
  { forms: ALL, make: oneReading("unit-mixup", (c) => ({ reading_mpas: scaled(c.reading_mpas, 0.001) })) },
  { forms: ALL, make: oneReading("missing-field", () => ({ speed_rpm: "" })) },
  // The range of another accessory.
  {
    forms: WITH_VALUE_AND_RANGE,
    make: oneReading("range-disagrees", (c) => ({
      full_scale_range_mpas: scaled(c.full_scale_range_mpas, 1.12),
    })),
  },
  // The torque of another moment.
  {
    forms: ALL,
    make: oneReading("reading-disagrees", (c) => {
      const torque = Number(c.torque_percent);
      return { torque_percent: (torque > 60 ? torque - 9 : torque + 9).toFixed(1) };
    }),
  },
  {
    forms: ALL,
    make: wholeCheck("bad-time", (c) => ({ checked_at: c.checked_at.replace(/-\d\d-\d\dT/, "-02-30T") })),
  },
  {
    forms: ALL,
    make: wholeCheck("in-the-future", (c) => ({
      checked_at: `${Number(c.checked_at.slice(0, 4)) + 40}-07-01T08:00:00Z`,
    })),
  },
  {
    forms: ALL,
    make: wholeCheck("unknown-value", (c) => ({ fluid_lot: `${c.fluid_lot}x`, fluid_value_mpas: "" })),
  },
  { forms: ["long-csv"], make: leftOver },
  { forms: ONE_ROW_A_READING, make: secondThoughts },
  { forms: ONE_ROW_A_READING, make: sentTwice },
  { forms: WITH_VALUE_AND_RANGE, make: nominalForCertified },
  {
    forms: WITH_VALUE_AND_RANGE,
    make: (rows) =>
      flagged(rows, "lot-unknown", (c) => ({ fluid_lot: c.fluid_lot.toLowerCase().replace("-", "") })),
  },
];

/** Makes slips in turn, so that even a small fleet has every kind. */
export class SlipMaker {
  /** The one longest not made comes first. */
  private readonly queue = [...SLIPS];

  next(rows: readonly SentRow[], check: Check, form: FormName, random: RandomSource): readonly SentRow[] {
    const index = this.queue.findIndex(({ forms }) => forms.includes(form));
    const [slip] = this.queue.splice(index, 1) as [Slip];
    this.queue.push(slip);
    return slip.make(rows, check, random);
  }
}

function scaled(text: string, factor: number): string {
  return String(Number((Number(text) * factor).toPrecision(5)));
}

function oneReading(reason: string, change: (cells: Cells) => Partial<Cells>): Slip["make"] {
  return (rows, _check, random) => {
    const spoilt = random.pick(rows);
    return rows.map((row) => (row === spoilt ? heldBack(row, reason, change) : row));
  };
}

function wholeCheck(reason: string, change: (cells: Cells) => Partial<Cells>): Slip["make"] {
  return (rows) => rows.map((row) => heldBack(row, reason, change));
}

function heldBack(row: SentRow, reason: string, change: (cells: Cells) => Partial<Cells>): SentRow {
  return { cells: { ...row.cells, ...change(row.cells) }, fate: { kind: "quarantined", reason } };
}

/** A remark with a comma of its own at the end of the line. */
function leftOver(rows: readonly SentRow[], _check: Check, random: RandomSource): readonly SentRow[] {
  const spoilt = random.pick(rows);
  return rows.map((row) =>
    row === spoilt
      ? { cells: row.cells, extraField: "see log", fate: { kind: "quarantined", reason: "unreadable-row" } }
      : row,
  );
}

/** The last reading entered a second time, with another value. */
function secondThoughts(rows: readonly SentRow[]): readonly SentRow[] {
  const last = rows.at(-1) as SentRow;
  return [...rows, heldBack(last, "conflicts", (c) => ({ reading_mpas: scaled(c.reading_mpas, 1.004) }))];
}

/** The last reading entered a second time, as it was. */
function sentTwice(rows: readonly SentRow[]): readonly SentRow[] {
  const last = rows.at(-1) as SentRow;
  return [...rows, { cells: last.cells, fate: { kind: "repeated" } }];
}

/** The value on the label in place of the certificate's; not noticeable where they are nearly the same. */
function nominalForCertified(rows: readonly SentRow[], { lot }: Check): readonly SentRow[] {
  const nominal = lot.product.nominalMPaS;
  if (Math.abs(lot.certifiedMPaS / nominal - 1) < 0.005) return rows;
  return flagged(rows, "looks-nominal", () => ({ fluid_value_mpas: String(nominal) }));
}

function flagged(
  rows: readonly SentRow[],
  flag: string,
  change: (cells: Cells) => Partial<Cells>,
): readonly SentRow[] {
  return rows.map((row) => {
    // Nothing can be said about the expiry of a lot that is not known.
    const others = row.fate.kind === "accepted" ? row.fate.flags : [];
    const kept = flag === "lot-unknown" ? others.filter((other) => other !== "lot-expired") : others;
    return {
      cells: { ...row.cells, ...change(row.cells) },
      fate: { kind: "accepted", flags: [...kept, flag] },
    };
  });
}
