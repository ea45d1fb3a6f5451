import assert from "node:assert/strict";
import { join } from "node:path";
import { setTimeout as wait } from "node:timers/promises";
import { afterAll, beforeAll, describe, it } from "vitest";
import { demoFleet } from "../../../dashboard/demo/demo-fleet.ts";
import { writeFleet } from "../../../dashboard/demo/fleet-files.ts";
import { makeWorld, type World } from "./run-command.ts";

const AS_OF = "2026-03-31";

describe("springtide backtest on an invented fleet", () => {
  let world: World;
  beforeAll(async () => {
    world = makeWorld(`${AS_OF}T12:00:00Z`);
    writeFleet(join(world.folder, "files"), demoFleet({ asOf: AS_OF, units: 10, seed: 9, years: 2 }), {
      forms: "as-sent",
    });
    await world.run(["ingest", join(world.folder, "files")]);
  });
  afterAll(() => world.remove());

  const json = async (...words: string[]) =>
    JSON.parse((await world.run(["backtest", ...words, "--json"])).out);

  it("is worked out for the page while the page answers, and then stands there", async () => {
    await world.run(["serve", "--port", "0"], {
      whileServing: async (out) => {
        const url = out.match(/http:\S+/)![0];
        const look = async () =>
          (await (await fetch(`${url}record?format=json`)).json()) as {
            record: { forecasts: number } | null;
            is_current: boolean;
            progress: { done: number; of: number } | null;
          };
        const first = await look();
        assert.equal(first.record, null);
        assert.notEqual(first.progress, null);
        assert.match(await (await fetch(`${url}record`)).text(), /The past is replayed day by day/);
        let now = first;
        for (let i = 0; i < 200 && !now.is_current; i++) {
          await wait(100);
          now = await look();
        }
        assert.equal(now.is_current, true);
        assert.equal(now.progress, null);
        assert.ok(now.record!.forecasts > 5);
      },
    });
  });

  it("replays days that far apart, each before the as-of day, and counts every forecast", async () => {
    const report = await json("--every", "180");
    assert.equal(report.as_of, AS_OF);
    const days = report.made_on.map((day: string) => Date.parse(day) / 86_400_000);
    assert.ok(days.length >= 2);
    for (const [i, day] of days.entries()) assert.equal(day, (days[i - 1] ?? day - 180) + 180);
    assert.ok(report.made_on.at(-1) < AS_OF);
    assert.ok(report.forecasts > 5);
    assert.equal(
      report.by_day.reduce((sum: number, day: { forecasts: number }) => sum + day.forecasts, 0),
      report.forecasts,
    );
    for (const row of report.reliability) {
      assert.ok(row.share_lower <= row.went_out / row.units && row.went_out / row.units <= row.share_upper);
      assert.ok(row.expected >= row.given_from * row.units && row.expected <= row.given_to * row.units);
    }
    assert.equal(report.too_few_to_judge, report.went_out < 20);
    // The second time it is the kept one, to the last digit.
    assert.deepEqual(await json("--every", "180"), report);
  });

  it("knows nothing later than its as-of day", async () => {
    const earlier = await json("--every", "180", "--as-of", "2025-09-30");
    assert.ok(earlier.made_on.every((day: string) => day < "2025-09-30"));
    const none = await json("--as-of", "2020-01-01");
    assert.deepEqual([none.forecasts, none.brier, none.made_on], [0, null, []]);
  });

  it("says it in words, and refuses what is no number of days", async () => {
    const { out, exitCode } = await world.run(["backtest", "--every", "180"]);
    assert.equal(exitCode, 0);
    assert.match(out, /went out/);
    for (const every of ["3", "a week", "999"]) {
      const { exitCode: bad, said } = await world.run(["backtest", "--every", every]);
      assert.equal(bad, 2);
      assert.match(said.join(), /--every takes a whole number of days from 7 to 366/);
    }
  });
});
