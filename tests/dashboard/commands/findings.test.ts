import assert from "node:assert/strict";
import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterAll, beforeAll, describe, it } from "vitest";
import { demoFleet } from "../../../dashboard/demo/demo-fleet.ts";
import { writeFleet } from "../../../dashboard/demo/fleet-files.ts";
import { makeWorld, type World } from "./run-command.ts";

const AS_OF = "2026-03-31";

interface Finding {
  readonly instrument: string;
  readonly found_by: string;
  readonly found_on: string;
  readonly left_tolerance: { readonly p05: string; readonly p50: string; readonly p95: string } | null;
  readonly record: {
    readonly number: number;
    readonly decisions: readonly { readonly decision: string }[];
  } | null;
  readonly closed: boolean;
}

describe("springtide findings on an invented fleet", () => {
  let world: World;
  let findings: readonly Finding[];
  let dated: Finding;
  beforeAll(async () => {
    world = makeWorld(`${AS_OF}T12:00:00Z`);
    writeFleet(join(world.folder, "files"), demoFleet({ asOf: AS_OF, units: 16, seed: 8, years: 1 }), {
      forms: "plain",
    });
    await world.run(["ingest", join(world.folder, "files")]);
    findings = (await json("list", "--since", "2025-03-31")).findings as Finding[];
    dated = findings.find(({ left_tolerance }) => left_tolerance !== null)!;
  });
  afterAll(() => world.remove());

  const json = async (...words: string[]) => {
    const { exitCode, out, said } = await world.run(["findings", ...words, "--json", "--as-of", AS_OF]);
    assert.equal(exitCode, 0, said.join("\n"));
    return JSON.parse(out);
  };

  it("lists what services and checks found, with the window in order and before the finding", () => {
    assert.ok(findings.length > 0);
    for (const { left_tolerance: left, found_on, found_by, closed } of findings) {
      assert.match(found_by, /^(checks|service)$/);
      assert.equal(closed, false);
      if (left === null) continue;
      assert.ok(left.p05 <= left.p50 && left.p50 <= left.p95 && left.p95 <= found_on);
    }
  });

  it("shows the results measured in the window, with what each may be off by", async () => {
    const { instrument, left_tolerance: left, found_on } = dated;
    const file = join(world.folder, "results.csv");
    writeFileSync(
      file,
      `instrument,measured_at,sample,viscosity,torque\n${instrument},${left!.p95}T10:00:00Z,batch 1,100,50\n${instrument},2023-01-01T10:00:00Z,old,100,50\n`,
    );
    assert.equal((await world.run(["ingest", file])).exitCode, 0);
    const service = dated.found_by === "service" ? ["--service", found_on] : [];
    const shown = await json("show", instrument, ...service);
    assert.deepEqual(
      shown.results.map((result: { sample: string }) => result.sample),
      ["batch 1"],
    );
    const [{ p_out_by_then: out, off_percent: off }] = shown.results;
    assert.ok(out > 0.5 && off.p05 <= off.p50 && off.p50 <= off.p95);
    // Its checks of that time, each with what the unit was off by; the last one found it.
    assert.ok(shown.checks.length > 0);
    for (const check of shown.checks) {
      assert.ok(check.checked_on >= left!.p05 && check.checked_on <= found_on, check.checked_on);
      assert.ok(check.off_percent_p05 <= check.off_percent_p95);
    }
    assert.ok(shown.checks.at(-1).p_out_by_then > 0.5);
    const { out: words } = await world.run(["findings", "show", instrument, ...service, "--as-of", AS_OF]);
    assert.match(words, /Most likely out since/);
    assert.match(words, /belong to qualified persons/);
  });

  it("records once, with the window as told, and is closed by a person's decision only", async () => {
    const service = dated.found_by === "service" ? ["--service", dated.found_on] : [];
    const words = [
      dated.instrument,
      ...service,
      "--as-of",
      AS_OF,
      "--why",
      "found out",
      "--by",
      "R. Quality",
    ];
    assert.equal((await world.run(["findings", "record", ...words])).exitCode, 0);
    const again = await world.run(["findings", "record", ...words]);
    assert.equal(again.exitCode, 1);
    assert.match(again.said.join(""), /on record as number 1/);
    const stands = async (): Promise<Finding> =>
      (await json("list", "--since", "2025-03-31")).findings.find((f: Finding) => f.record !== null);
    assert.equal((await stands()).closed, false);
    const decide = [
      "findings",
      "decide",
      "1",
      "--as",
      "no-effect",
      "--why",
      "samples kept were measured again",
    ];
    assert.equal((await world.run([...decide, "--by", "R. Quality"])).exitCode, 0);
    const after = await stands();
    assert.equal(after.closed, true);
    assert.equal(after.record!.decisions[0]!.decision, "no-effect");
  });

  it("says in one line what is wrong with the call", async () => {
    for (const [words, code, message] of [
      [["show", "nobody"], 1, /there is no unit "nobody"/],
      [["decide", "99", "--as", "retest", "--why", "x"], 1, /no finding with the number 99/],
      [["decide", "1", "--as", "perhaps", "--why", "x"], 2, /perhaps/],
      [["record", "nobody", "--why", " "], 2, /--why takes the reason/],
    ] as const) {
      const { exitCode, said } = await world.run(["findings", ...words]);
      assert.equal(exitCode, code, words.join(" "));
      assert.match(said.join("\n"), message);
    }
  });
});
