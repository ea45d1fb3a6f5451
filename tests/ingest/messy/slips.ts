import type { Random } from "../../support/random.ts";
import {
  between,
  type Check,
  type Fate,
  type Field,
  type Network,
  pick,
  type Row,
  readingAt,
  rounded,
} from "./network.ts";

/** What is special about how a site writes its files, as far as slips must know it. */
export interface Habits {
  /** One line (or object) a reading: what a check shares may differ there from row to row. */
  readonly isLong: boolean;
  /** Text that is no number there. */
  readonly noNumbers: readonly string[];
  readonly badTimes: readonly string[];
  /** Present time. Unit: ms since 1970-01-01 UTC. */
  readonly now: number;
}

/** Changes one row so that this reason, or a flag, is the outcome. False: it cannot be done to this row. */
type Change = (row: Row, check: Check, habits: Habits, network: Network) => boolean;

const SHARED: readonly Field[] = ["instrument", "at", "value", "temperature", "lot", "geometry"];

const held = (reason: string): Fate => ({ is: "quarantined", reason });

function empty(...fields: Field[]): Change {
  return (row) => {
    for (const field of fields) Object.assign(row, { [field]: null });
    return true;
  };
}

function put(field: Field, value: (row: Row, random: Random) => number): Change {
  return (row, _check, _habits, { random }) => {
    Object.assign(row, { [field]: value(row, random) });
    return true;
  };
}

function write(field: Field, texts: keyof Pick<Habits, "noNumbers" | "badTimes">): Change {
  return (row, _check, habits, { random }) => {
    row.written = { ...row.written, [field]: pick(random, habits[texts]) };
    return true;
  };
}

interface Slip {
  readonly reason: string;
  /** What it touches: two slips on one row must not meet. */
  readonly touches: readonly Field[];
  readonly change: Change;
}

/** Slips within one row by the documented order of reasons; `conflicts` and `unreadable-row` are made elsewhere. */
export const SLIPS: readonly Slip[] = [
  ...(["instrument", "at", "speed"] as const).map((field) => slip("missing-field", [field], empty(field))),
  slip("missing-field", ["reading", "torque"], empty("reading", "torque")),
  slip("missing-field", ["range"], (row, { unit }) => {
    row.range = null;
    return unit.torqueUnm === null;
  }),
  ...(["speed", "reading", "value", "range", "torque", "temperature"] as const).map((field) =>
    slip("not-a-number", [field], write(field, "noNumbers")),
  ),
  slip("bad-time", ["at"], write("at", "badTimes")),
  slip("in-the-future", ["at"], (row, _check, { now }, { random }) => {
    row.at = now + Math.ceil(between(random, 0, 500)) * 86_400_000;
    return true;
  }),
  ...(["speed", "reading", "value", "range", "torque"] as const).map((field) =>
    slip(
      "negative",
      [field],
      put(field, (row) => -(row[field] ?? 1)),
    ),
  ),
  slip(
    "over-range",
    ["torque"],
    put("torque", (_, random) => rounded(between(random, 100.1, 130), 4)),
  ),
  slip(
    "over-range",
    ["reading", "range", "torque"],
    put("reading", (row, random) => rounded(row.range! * between(random, 1.001, 3), 6)),
  ),
  slip("unknown-value", ["value", "lot"], empty("value", "lot")),
  slip("unknown-value", ["value", "lot"], (row) => {
    row.value = null;
    row.lot = `${row.lot}?`;
    return true;
  }),
  slip("unit-mixup", ["reading", "torque"], (row) => {
    row.reading = rounded(row.reading! / 1000, 8);
    return true;
  }),
  slip(
    "unit-mixup",
    ["value"],
    put("value", (row) => rounded(row.value! / 1000, 8)),
  ),
  slip(
    "unit-mixup",
    ["value"],
    put("value", (row) => rounded(row.value! * 1000, 8)),
  ),
  slip("unit-mixup", ["range", "torque"], (row) => {
    row.range = rounded(row.range! * 1000, 8);
    row.torque = null;
    return true;
  }),
  slip("range-disagrees", ["range", "reading", "torque"], (row, _check, _habits, { random }) => {
    row.range = rounded(row.range! * between(random, 1.025, 1.6), 6);
    row.torque = Math.round((1000 * row.reading!) / row.range) / 10;
    return true;
  }),
  slip("range-disagrees", ["range", "torque"], (row, _check, _habits, { random }) => {
    row.range = rounded(row.range! * between(random, 0.9, 0.975), 6);
    row.torque = null;
    return true;
  }),
  slip("reading-disagrees", ["torque", "reading", "range"], (row, _check, _habits, { random }) => {
    const away = between(random, 0.7, 9);
    row.torque = rounded(row.torque! > 60 ? row.torque! - away : row.torque! + away, 4);
    return true;
  }),
];

function slip(reason: string, touches: readonly Field[], change: Change): Slip {
  return { reason, touches, change };
}

/** Makes a slip in one reading of a check, or in all where what it touches is said once for all of them. */
export function makeSlip(made: Slip, check: Check, habits: Habits, network: Network): boolean {
  const isShared = !habits.isLong && made.touches.some((field) => SHARED.includes(field));
  const rows = isShared ? check.rows : [pick(network.random, check.rows)];
  const before = check.rows.map((row) => ({ ...row }));
  const after = rows.map((row) => ({ ...row, fate: held(made.reason) }));
  for (const row of after) if (!made.change(row, check, habits, network)) return false;
  if (isShared) {
    // Said once, it is the same for all.
    for (const field of made.touches.filter((field) => SHARED.includes(field))) {
      for (const row of after) {
        Object.assign(row, { [field]: after[0]![field] });
        row.written = { ...row.written, ...after[0]!.written };
      }
    }
  }
  check.rows = before.map((row, i) => after[rows.indexOf(check.rows[i]!)] ?? row);
  return true;
}

/** A second slip on a row that has one already: the reason that comes first in the documented order counts. */
export function makeSecondSlip(
  first: Slip,
  check: Check,
  order: readonly string[],
  habits: Habits,
  network: Network,
): boolean {
  const row = check.rows.find(({ fate }) => fate.is === "quarantined")!;
  const later = SLIPS.filter(
    ({ reason, touches }) =>
      order.indexOf(reason) > order.indexOf(first.reason) &&
      !touches.some((field) => first.touches.includes(field) || SHARED.includes(field)),
  );
  if (later.length === 0 || Object.values(row).includes(null)) return false;
  return pick(network.random, later).change(row, check, habits, network);
}

/** What is odd about a check that is used all the same, and the flags that say so. */
export const ODDITIES: Readonly<Record<string, (check: Check, network: Network) => void>> = {
  "temperature-off": (check, { random }) => {
    const off = between(random, 0.21, 4) * (random.uniform() < 0.5 ? -1 : 1);
    const temperature = rounded(check.unit.lot.referenceC + off, 4);
    for (const row of check.rows) flag({ ...row }, row, "temperature-off", { temperature });
  },
  "torque-low": (check, { random }) => {
    const [row] = check.rows;
    const weak = readingAt(check.unit, between(random, 3, 9.8), between(random, -0.3, 0.3));
    check.rows = [...check.rows, { ...row!, ...weak, fate: { is: "accepted", flags: ["torque-low"] } }];
  },
  "lot-expired": (check) => {
    const lot = check.unit.lot.name.replace("-A", "-old");
    for (const row of check.rows) flag({ ...row }, row, "lot-expired", { lot });
  },
  "lot-unknown": (check) => {
    for (const row of check.rows)
      flag({ ...row }, row, "lot-unknown", { lot: "not on the list", temperature: 25.1 });
  },
  "looks-nominal": (check) => {
    const value = check.unit.lot.nominal;
    for (const row of check.rows) flag({ ...row }, row, "looks-nominal", { value });
  },
  outlier: (check, { random }) => {
    const row = pick(random, check.rows);
    const shift = between(random, 6, 11) * (row.torque! > 70 ? -1 : 1);
    const reading = rounded(row.reading! + (shift * row.range!) / 100, 5);
    flag({ ...row }, row, "outlier", { reading, torque: Math.round((1000 * reading) / row.range!) / 10 });
  },
};

function flag({ fate }: Row, row: Row, name: string, change: Partial<Row>): void {
  const flags = fate.is === "accepted" ? fate.flags : [];
  Object.assign(row, change, { fate: { is: "accepted", flags: [...flags, name] } });
}

/** One value of a reading that is stored already, changed by more than any rounding and by less than another reason needs. */
export const SECOND_THOUGHTS: readonly ((row: Row, random: Random) => void)[] = [
  (row) => {
    row.reading = rounded(row.reading! * 1.001, 6);
  },
  (row) => {
    row.torque = rounded(row.torque! - 0.3, 4);
  },
  (row) => {
    row.range = rounded(row.range! * 1.01, 6);
    row.torque = null;
  },
  (row) => {
    row.value = rounded(row.value! * 1.004, 6);
  },
  (row) => {
    row.temperature = rounded(row.temperature! + 0.3, 4);
  },
  (row) => {
    row.lot = row.lot!.replace("-A", "-old");
  },
];
