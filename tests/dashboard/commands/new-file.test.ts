import assert from "node:assert/strict";
import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterAll, beforeAll, describe, it } from "vitest";
import { demoFleet } from "../../../dashboard/demo/demo-fleet.ts";
import { writeFleet } from "../../../dashboard/demo/fleet-files.ts";
import { makeWorld, type World } from "./run-command.ts";

const AS_OF = "2026-03-31";

interface Forecast {
  readonly fleet_learnt_as_of: string;
  readonly units: readonly { readonly instrument: string; readonly p_out_before_service: number | null }[];
}

describe("a new file for one unit", () => {
  let world: World;
  const forecast = async (...words: string[]): Promise<Forecast> =>
    JSON.parse((await world.run(["forecast", "--json", "--as-of", AS_OF, ...words])).out);
  const chances = ({ units }: Forecast) =>
    new Map(units.map((u) => [u.instrument, u.p_out_before_service] as const));

  beforeAll(async () => {
    world = makeWorld(`${AS_OF}T20:00:00Z`);
    writeFleet(join(world.folder, "files"), demoFleet({ asOf: AS_OF, units: 24, seed: 4, years: 2 }), {
      forms: "plain",
    });
    await world.run(["ingest", join(world.folder, "files")]);
  });
  afterAll(() => world.remove());

  it("moves that unit's forecast at once and leaves all others as they were", async () => {
    const before = await forecast();
    const chosen = before.units.find((u) => (u.p_out_before_service ?? 1) < 0.05)!.instrument;
    const { readings } = JSON.parse((await world.run(["unit", chosen, "--json", "--as-of", AS_OF])).out);
    const last = readings[0];
    const rows = [20, 50, 85].map((torque, i) => {
      const range = (100 * 500) / torque;
      // Off by 4 % of full scale at every torque: far beyond tolerance.
      return [
        chosen,
        `${AS_OF}T1${i}:00:00Z`,
        10 + i,
        500 + 0.04 * range,
        500,
        range,
        last.site ?? "",
      ].join();
    });
    const header =
      "instrument,checked_at,speed_rpm,reading_mpas,fluid_value_mpas,full_scale_range_mpas,site,check_id";
    const file = join(world.folder, "one-check.csv");
    writeFileSync(file, [header, ...rows.map((row) => `${row},NEW-1`)].join("\n"));
    const report = JSON.parse((await world.run(["ingest", "--json", file])).out);
    assert.equal(report.totals.accepted, 3, JSON.stringify(report));

    const after = await forecast();
    const [was, is] = [chances(before), chances(after)];
    assert.ok(is.get(chosen)! > was.get(chosen)! + 0.1, `${was.get(chosen)} -> ${is.get(chosen)}`);
    for (const [instrument, chance] of was)
      if (instrument !== chosen) assert.equal(is.get(instrument), chance);
  });

  it("keeps what is known of the fleet for four weeks, and learns it anew when asked", async () => {
    const soon = JSON.parse((await world.run(["forecast", "--json", "--as-of", "2026-04-20"])).out);
    assert.equal(soon.fleet_learnt_as_of, AS_OF);
    const late = JSON.parse((await world.run(["forecast", "--json", "--as-of", "2026-05-20"])).out);
    assert.equal(late.fleet_learnt_as_of, "2026-05-20");
    const anew = JSON.parse(
      (await world.run(["forecast", "--json", "--as-of", "2026-04-20", "--refit"])).out,
    );
    assert.equal(anew.fleet_learnt_as_of, "2026-04-20");
  });
});
