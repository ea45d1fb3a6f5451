import { execFileSync } from "node:child_process";
import { existsSync, mkdirSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { arch, cpus, platform, tmpdir, totalmem } from "node:os";
import { join } from "node:path";
import { parseArgs } from "node:util";
import { demoFleet } from "../../dashboard/demo/demo-fleet.ts";
import { writeFleet } from "../../dashboard/demo/fleet-files.ts";
import { type GrowthResult, growthLine, growthPicture } from "./growth.ts";
import { resultTable, type SizeResult } from "./result-table.ts";
import { runStage } from "./run-stage.ts";
import type { Place } from "./stages.ts";

// npm run bench -- [--units 100,1000] [--seed 7] [--rounds 3] [--data DIR] [--picture FILE.svg]
// Makes a fleet of each size (three years of checks), measures, and prints tables. --data keeps the files for the next run;
// --picture measures how cost grows with size instead, and draws it.

const { values } = parseArgs({
  options: {
    units: { type: "string", default: "100,1000" },
    seed: { type: "string", default: "7" },
    rounds: { type: "string", default: "3" },
    data: { type: "string" },
    picture: { type: "string" },
  },
});

const AS_OF = "2026-03-31";
const folder = values.data ?? mkdtempSync(join(tmpdir(), "springtide-bench-"));
try {
  const sizes = values.units.split(",").map(Number);
  if (sizes.some((size) => !Number.isSafeInteger(size) || size < 1)) {
    throw new RangeError(`--units takes whole numbers with commas between, got ${values.units}`);
  }
  console.log(machine());
  if (values.picture !== undefined) {
    const results: GrowthResult[] = [];
    for (const units of sizes) {
      results.push(await measureGrowth(units));
      console.log(`${units} units: ${growthLine(results.at(-1)!)}`);
    }
    writeFileSync(values.picture, growthPicture(results));
  } else {
    for (const units of sizes) console.log(`\n${resultTable(await measure(units, Number(values.rounds)))}`);
  }
} finally {
  if (values.data === undefined) rmSync(folder, { recursive: true, force: true });
}

/** The files of one size, made where they are not there yet. */
function placeOf(units: number): Place {
  const files = join(folder, `fleet-${values.seed}-${units}`);
  if (!existsSync(join(files, "readings.csv"))) {
    mkdirSync(files, { recursive: true });
    writeFleet(files, demoFleet({ asOf: AS_OF, seed: Number(values.seed), units }), { forms: "plain" });
  }
  return { files, store: join(folder, "bench.sqlite"), asOf: AS_OF };
}

/** Each stage of the work once, without floors. */
async function measureGrowth(units: number): Promise<GrowthResult> {
  const place = placeOf(units);
  removeStores();
  const intake = await runStage("intake", place);
  const load = await runStage("load", place);
  const learn = await runStage("learn", place);
  const analysis = await runStage("analysis", place);
  removeStores();
  return { intake, load, learn, analysis };
}

/** Each work beside its floor, in turn, so that a busy machine slows both; the medians count. */
async function measure(units: number, rounds: number): Promise<SizeResult> {
  const place = placeOf(units);
  const result: SizeResult = {
    units,
    intake: [],
    engine: [],
    load: [],
    learn: [],
    analysis: [],
    bare: [],
    server: [],
  };
  for (let round = 0; round < rounds; round++) {
    removeStores();
    result.engine.push(await runStage("engine", place));
    result.intake.push(await runStage("intake", place));
    result.bare.push(await runStage("bare", place));
    result.analysis.push(await runStage("analysis", place));
  }
  result.load.push(await runStage("load", place));
  result.learn.push(await runStage("learn", place));
  result.server.push(await runStage("server", place));
  removeStores();
  return result;
}

function removeStores(): void {
  for (const name of ["bench.sqlite", "bench.sqlite.engine"]) {
    for (const end of ["", "-wal", "-shm", ".wal"]) rmSync(join(folder, name + end), { force: true });
  }
}

function machine(): string {
  const commit = execFileSync("git", ["rev-parse", "--short", "HEAD"], { encoding: "utf8" }).trim();
  const { node, sqlite } = process.versions;
  const memory = (totalmem() / 1024 ** 3).toFixed(0);
  return [
    `${cpus().length} x ${cpus()[0]?.model.trim()}, ${memory} GiB, ${platform()} ${arch()}`,
    `Node ${node}, SQLite ${sqlite}; commit ${commit}; ${new Date().toISOString().slice(0, 10)}`,
  ].join("\n");
}
