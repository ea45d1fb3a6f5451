import assert from "node:assert/strict";
import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterAll, beforeAll, describe, it } from "vitest";
import { demoFleet } from "../../../dashboard/demo/demo-fleet.ts";
import { writeFleet } from "../../../dashboard/demo/fleet-files.ts";
import { makeWorld, type World } from "./run-command.ts";

const AS_OF = "2026-03-31";
const UNITS = 16;

interface Report {
  readonly capacity_per_week: number | null;
  readonly weeks: readonly { readonly week: string; readonly units: readonly string[] }[];
  readonly units: readonly {
    readonly instrument: string;
    readonly due: string;
    readonly week: string;
    readonly leaves: string;
    readonly moved_days: number;
    readonly workshop: string;
    readonly why: string;
  }[];
  readonly unplaced: readonly { readonly instrument: string; readonly why: string }[];
  readonly expected_out_days: number;
  readonly expected_out_days_if_on_due_date: number;
  readonly gap: number;
  readonly kept: readonly object[];
  readonly moved_by_hand: readonly {
    readonly instrument: string;
    readonly week: string | null;
    readonly week_if_free: string | null;
    readonly p_out_at_return: number | null;
    readonly p_out_at_return_if_free: number | null;
    readonly expected_out_days: number;
    readonly expected_out_days_if_free: number;
  }[];
  readonly beside: readonly { readonly rules: string; readonly overtime_weeks: number }[];
}

describe("springtide bookings on an invented fleet", () => {
  let world: World;
  beforeAll(async () => {
    world = makeWorld(`${AS_OF}T12:00:00Z`);
    writeFleet(join(world.folder, "files"), demoFleet({ asOf: AS_OF, units: UNITS, seed: 5, years: 1 }), {
      forms: "plain",
    });
    await world.run(["ingest", join(world.folder, "files")]);
  });
  afterAll(() => world.remove());

  const plan = async (...words: string[]): Promise<Report> => {
    const { exitCode, out, said } = await world.run(["bookings", "--json", "--as-of", AS_OF, ...words]);
    assert.equal(exitCode, 0, said.join("\n"));
    return JSON.parse(out);
  };

  it("books every unit once, no more a week than can be taken in, none after its due date", async () => {
    const report = await plan("--capacity", "2");
    assert.equal(report.capacity_per_week, 2);
    const named = [...report.units, ...report.unplaced].map((unit) => unit.instrument);
    assert.equal(new Set(named).size, UNITS);
    assert.equal(named.length, UNITS);
    assert.deepEqual(report.unplaced, []);
    for (const { week, units } of report.weeks) {
      assert.ok(units.length <= 2, `${week}: ${units.length}`);
      assert.deepEqual(
        units,
        report.units.filter((u) => u.week === week).map((u) => u.instrument),
      );
    }
    for (const unit of report.units) {
      // One that is past its due date already goes at once.
      const latest = unit.due < AS_OF ? AS_OF : unit.due;
      assert.ok(unit.leaves <= latest, `${unit.instrument} leaves ${unit.leaves}, due ${unit.due}`);
      assert.ok(unit.moved_days % 7 === 0, `${unit.moved_days} days`);
      assert.ok(unit.why.length > 0);
    }
    assert.ok(report.expected_out_days <= report.expected_out_days_if_on_due_date);
    assert.equal(report.gap, 0);
  });

  it("keeps a week chosen by hand, and takes nothing in in a closed week", async () => {
    const [first] = (await plan("--capacity", "2")).units;
    const fixed = `${first!.instrument}=2026-W16`;
    const report = await plan("--capacity", "3", "--fix", fixed, "--closed", "2026-W14,2026-W15");
    const moved = report.units.find((unit) => unit.instrument === first!.instrument)!;
    assert.equal(moved.week, "2026-W16");
    assert.match(moved.why, /chosen by hand/);
    assert.deepEqual(
      report.units.filter((unit) => unit.week < "2026-W16").map((unit) => unit.instrument),
      [],
    );
  });

  it("tells what a move by hand costs, and holds plans with other rules beside it", async () => {
    const last = (await plan("--capacity", "2")).units.at(-1)!;
    const words = ["--capacity", "2", "--week", "2026-W14=1", "--fix", `${last.instrument}=2026-W14`];
    const report = await plan(...words, "--beside", "capacity=4,spare=2,target=0.98");
    const [move] = report.moved_by_hand;
    assert.deepEqual([move!.instrument, move!.week], [last.instrument, "2026-W14"]);
    assert.ok(move!.week_if_free! > "2026-W14");
    assert.ok(move!.p_out_at_return! <= move!.p_out_at_return_if_free!);
    assert.ok(move!.expected_out_days <= move!.expected_out_days_if_free);
    assert.deepEqual(report.weeks[0]!.units, [last.instrument]);
    const [beside] = report.beside;
    assert.equal(beside!.rules, "capacity=4,spare=2,target=0.98");
    const busy = beside!.overtime_weeks;
    assert.ok(Number.isInteger(busy) && busy >= 0);
    const { out } = await world.run([...["bookings", "--as-of", AS_OF], ...words, "--beside", "capacity=4"]);
    assert.match(
      out,
      /moved by hand, goes in week 14 in place of week \d+: .*days out of tolerance expected/,
    );
    assert.match(out, /everybody on the due date/);
    assert.match(out, /\ncapacity=4 /);
  });

  it("goes late only where there is no room, and names what binds", async () => {
    const closed = Array.from({ length: 30 }, (_, i) => `2026-W${14 + i}`).join(",");
    const report = await plan("--capacity", "3", "--closed", closed);
    const late = report.units.filter((unit) => unit.leaves > unit.due);
    assert.ok(late.length > 0);
    for (const unit of late) assert.match(unit.why, /late: .*(nothing is taken in|is full|can spare)/);
    const { out } = await world.run(["bookings", "--as-of", AS_OF, "--capacity", "3", "--closed", closed]);
    assert.match(out, /units are due by the end of week \d+, and \d+ places? (is|are) to be had until then/);
  });

  it("takes workshops, their model classes and closures from the settings", async () => {
    const file = join(world.folder, "workshops.json");
    const workshops = [
      { name: "Quay", capacity_per_week: 2, model_classes: ["low torque"] },
      { name: "Mill", capacity_per_week: 3 },
    ];
    writeFileSync(file, JSON.stringify({ planning: { workshops, closed_weeks: ["2026-W15"] } }));
    const { exitCode, said } = await world.run(["settings", "--set", file, "--by", "R. Planner"]);
    assert.equal(exitCode, 0, said.join("\n"));
    const report = await plan();
    assert.equal(report.capacity_per_week, null);
    assert.equal(new Set(report.units.map((unit) => unit.workshop)).has("Mill"), true);
    assert.equal(
      report.units.some((unit) => unit.week === "2026-W15"),
      false,
    );
  });

  it("says in one line what is wrong with the call", async () => {
    const calls: readonly [readonly string[], number, RegExp][] = [
      [["--capacity", "none"], 2, /--capacity takes a whole number/],
      [["--capacity", "3", "--closed", "week 9"], 2, /--closed takes weeks like 2026-W14/],
      [["--capacity", "3", "--target", "95"], 2, /--target takes a share/],
      [["--capacity", "3", "--week", "2026-W20"], 2, /--week takes a week and a number/],
      [["--capacity", "3", "--beside", "speed=2"], 2, /--beside takes rules like capacity=14/],
      [["--capacity", "3", "--fix", "nobody=2026-W20"], 1, /no unit is called "nobody"/],
    ];
    for (const [words, code, message] of calls) {
      const { exitCode, said } = await world.run(["bookings", "--as-of", AS_OF, ...words]);
      assert.equal(exitCode, code, words.join(" "));
      assert.match(said.join("\n"), message);
    }
  });

  it("takes the weeks that are kept as fixed, says what they cost, and leaves them to the plan again", async () => {
    const free = await plan("--capacity", "2");
    const unit = free.units.at(-1)!;
    const week = free.units[0]!.week;
    assert.notEqual(unit.week, week);
    const words = ["bookings", "--keep", `${unit.instrument}=${week}`];
    assert.equal((await world.run(words)).exitCode, 2);
    const kept = await world.run([...words, "--why", "the courier comes", "--by", "Ada"]);
    assert.equal(kept.out, `${week} is kept for ${unit.instrument}.\n`);
    const report = await plan("--capacity", "2");
    const after = report.units.find(({ instrument }) => instrument === unit.instrument)!;
    assert.equal(after.week, week);
    assert.match(after.why, /kept/);
    assert.deepEqual(
      report.moved_by_hand.map((move) => [move.instrument, move.week, move.week_if_free]),
      [[unit.instrument, week, unit.week]],
    );
    assert.deepEqual(report.kept, [
      {
        ...{ instrument: unit.instrument, week, is_past: false, by: "Ada" },
        ...{ why: "the courier comes", kept_on: AS_OF },
      },
    ]);
    const why = ["--why", "no courier"];
    assert.equal((await world.run(["bookings", "--release", unit.instrument, ...why])).exitCode, 0);
    assert.equal((await world.run(["bookings", "--release", unit.instrument, ...why])).exitCode, 1);
    assert.equal((await world.run(["bookings", "--keep", "nobody=2026-W20", ...why])).exitCode, 1);
    assert.equal(
      (await world.run(["bookings", "--keep", `${unit.instrument}=2026-W01`, ...why])).exitCode,
      1,
    );
    const { units, kept: none } = await plan("--capacity", "2");
    assert.deepEqual([units, none], [free.units, []]);
  });
});
