import { MANNERS, type Manner } from "./manners.ts";
import { type Check, checksOf, type Network, network, pick, type Row, type Unit } from "./network.ts";
import { makeSecondSlip, makeSlip, ODDITIES, SECOND_THOUGHTS, SLIPS } from "./slips.ts";
import { type Expected, nothingYet, writeChecks } from "./write-files.ts";

/** Files of six sites and of head office, with all that may be wrong with them, and what is to come of each. */
export interface MessyFiles {
  readonly files: Readonly<Record<string, string | Uint8Array>>;
  readonly expected: Readonly<Record<string, Expected>>;
}

/** The documented order of reasons. */
export const ORDER = [
  ...[
    "unreadable-row",
    "missing-field",
    "not-a-number",
    "bad-time",
    "in-the-future",
    "negative",
    "over-range",
  ],
  ...["unknown-value", "unit-mixup", "range-disagrees", "reading-disagrees", "conflicts"],
];
const BROKEN_PER_SITE = 4;
const REPEATS_PER_SITE = 5;
const TWO_SLIPS_PER_SITE = 5;

/** @param now The present time. Unit: ms since 1970-01-01 UTC. */
export function messyFiles(seed: number, now: number): MessyFiles {
  const net = network(seed);
  const files: Record<string, string | Uint8Array> = {};
  const expected: Record<string, Expected> = {};
  const add = (name: string, written: { bytes: Uint8Array; expected: Expected }) => {
    files[name] = written.bytes;
    expected[name] = written.expected;
  };
  const sound: Check[] = [];
  for (const manner of MANNERS) {
    const checks = siteChecks(manner, net, now);
    sound.push(...checks.filter(isSound));
    const name = `${manner.site.toLowerCase()}/${manner.file}`;
    add(name, writeChecks(manner, checks, net.random));
    if (manner.profile !== null)
      files[name.replace(/\.\w+$/, ".profile.json")] = JSON.stringify(manner.profile);
  }
  // Read last, by its name: what the sites have sent comes again from head office, in another form.
  const [headOffice] = MANNERS;
  add("zz head office/all sites.csv", writeChecks(headOffice!, sentAgain(sound, net), net.random));
  for (const [kind, rows] of Object.entries(registers(net))) {
    const name = `zz head office/${kind}.csv`;
    files[name] = rows.map((row) => `${row.map(field).join(",")}\n`).join("");
    expected[name] = { ...nothingYet(), rows: rows.length - 1, accepted: rows.length - 1 };
  }
  return { files, expected };
}

function field(value: string | number | null): string {
  return `"${String(value ?? "").replaceAll('"', '""')}"`;
}

/** The checks of one site in the order of time, with a slip of every kind and every oddity at random places. */
function siteChecks(manner: Manner, net: Network, now: number): Check[] {
  const { random } = net;
  const habits = { ...manner.habits, now };
  const checks = net.units
    .filter(({ site }) => site === manner.site)
    .flatMap((unit) => checksOf(unit, random))
    .sort((a, b) => a.rows[0]!.at! - b.rows[0]!.at!);
  const untouched = [...checks].sort(() => random.uniform() - 0.5);
  const next = (suits: (check: Check) => boolean = () => true) => {
    const [check] = untouched.splice(untouched.findIndex(suits), 1);
    return check!;
  };

  // Of a lot that nobody knows, the temperature is taken to be the usual one.
  const suitsAny = ({ unit }: Check) => unit.lot.referenceC === 25;

  for (const slip of SLIPS) {
    const check = next();
    // A range is missing only where the registers cannot supply it.
    if (!makeSlip(slip, check, habits, net)) {
      untouched.push(check);
      makeSlip(
        slip,
        next(({ unit }) => unit.torqueUnm === null),
        habits,
        net,
      );
    }
  }
  // Reasons that no other slip in the row can take away.
  const certain = SLIPS.filter(({ reason }) => ORDER.indexOf(reason) <= ORDER.indexOf("negative"));
  for (let i = 0; i < TWO_SLIPS_PER_SITE; i++) {
    const slip = pick(random, certain);
    const check = next(({ unit }) => unit.torqueUnm === null);
    makeSlip(slip, check, habits, net);
    makeSecondSlip(slip, check, ORDER, habits, net);
  }
  for (const make of Object.values(ODDITIES)) make(next(suitsAny), net);
  const both = next();
  ODDITIES["temperature-off"]!(both, net);
  ODDITIES["lot-expired"]!(both, net);
  for (let i = 0; i < BROKEN_PER_SITE; i++) next().broken = true;

  for (const change of SECOND_THOUGHTS) {
    after(checks, next(), random, (row) => {
      change(row, random);
      return { ...row, fate: { is: "quarantined", reason: "conflicts" } };
    });
  }
  for (let i = 0; i < REPEATS_PER_SITE; i++) {
    after(checks, next(), random, (row) => ({ ...row, operator: "typist", fate: { is: "repeated" } }));
  }
  if (manner.layout === "nested") for (const check of untouched) leaveToRegisters(check, net);
  return checks;
}

/** Puts a copy of one reading of a check somewhere below it. */
function after(checks: Check[], check: Check, random: Network["random"], copy: (row: Row) => Row): void {
  const first = checks.indexOf(check) + 1;
  const at = first + Math.floor(random.uniform() * (checks.length - first + 1));
  const rows = [copy({ ...pick(random, check.rows) })];
  checks.splice(at, 0, { unit: check.unit, rows, broken: false });
}

/** Leaves out what the registers know. */
function leaveToRegisters({ unit, rows }: Check, { random }: Network): void {
  const [leavesValue, leavesRange] = [random.uniform() < 0.5, random.uniform() < 0.5];
  for (const row of rows) {
    if (leavesValue) row.value = null;
    if (leavesRange && unit.torqueUnm !== null) row.range = null;
  }
}

function isSound({ broken, rows }: Check): boolean {
  return (
    !broken &&
    rows.length === 3 &&
    rows.every(({ fate }) => fate.is === "accepted" && fate.flags.length === 0)
  );
}

/** Some of the checks once more, with all their fields; and a few that contradict what the sites have sent. */
function sentAgain(sound: readonly Check[], { random }: Network): Check[] {
  return sound
    .filter(() => random.uniform() < 0.4)
    .map(({ unit, rows }) => {
      const whole = rows.map((row): Row => {
        const range = row.range ?? Number((unit.constant / row.speed!).toPrecision(6));
        return {
          ...row,
          range,
          value: row.value ?? unit.lot.certified,
          stage: "routine",
          fate: { is: "repeated" },
        };
      });
      if (random.uniform() < 0.1) {
        whole[1]!.reading! *= 1.002;
        whole[1]!.fate = { is: "quarantined", reason: "conflicts" };
      }
      return { unit, rows: whole, broken: false };
    });
}

function registers({ units, lots, geometries }: Network): Record<string, (string | number | null)[][]> {
  return {
    instruments: [
      ["instrument", "site", "full_scale_torque_unm", "usage", "next_service_due"],
      ...units.map(({ instrument, site, torqueUnm }: Unit) => [
        instrument,
        site,
        torqueUnm,
        "daily",
        "2026-09-30",
      ]),
    ],
    fluids: [
      ["fluid_lot", "nominal_mpas", "certified_mpas", "reference_temperature_c", "expires_on"],
      ...lots.map((lot) => [lot.name, lot.nominal, lot.certified, lot.referenceC, lot.expiresOn]),
    ],
    geometries: [
      ["geometry", "bob_radius_mm", "cup_radius_mm", "bob_length_mm", "end_factor"],
      ...geometries.map((of) => [of.name, of.bobMm, of.cupMm, of.lengthMm, of.endFactor]),
    ],
    services: [
      ["instrument", "serviced_at", "action"],
      ...units.map(({ instrument }) => [instrument, "2024-02-01", "adjusted"]),
    ],
  };
}
