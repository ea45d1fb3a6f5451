#!/usr/bin/env node
import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { parseArgs } from "node:util";
import { demoFleet } from "./demo-fleet.ts";
import { writeFleet } from "./fleet-files.ts";

// An invented fleet as files, for trials and benchmarks:
// node dashboard/demo/write-fleet.ts --out DIR --as-of 2026-03-31 [--seed 7] [--units 300] [--years 3] [--truth] [--plain]
//   [--regime usual|sparse] [--drifting 0.16] [--bad-lots 0.05] [--noise 1] [--steps 0.05]

const { values } = parseArgs({
  options: {
    out: { type: "string" },
    "as-of": { type: "string" },
    seed: { type: "string" },
    units: { type: "string" },
    years: { type: "string" },
    regime: { type: "string" },
    drifting: { type: "string" },
    "bad-lots": { type: "string" },
    noise: { type: "string" },
    steps: { type: "string" },
    truth: { type: "boolean", default: false },
    plain: { type: "boolean", default: false },
  },
});

function numbers(): Record<string, number> {
  const names = {
    seed: "seed",
    units: "units",
    years: "years",
    drifting: "driftingShare",
    "bad-lots": "badLotShare",
    noise: "noise",
    steps: "stepsPerUnitYear",
  } as const;
  const given: Record<string, number> = {};
  for (const [word, option] of Object.entries(names)) {
    const value = values[word as keyof typeof names];
    if (value !== undefined) given[option] = Number(value);
  }
  return given;
}

try {
  const { out, regime } = values;
  const asOf = values["as-of"];
  if (out === undefined || asOf === undefined) throw new RangeError("--out DIR and --as-of DAY are needed");
  if (regime !== undefined && regime !== "usual" && regime !== "sparse") {
    throw new RangeError(`--regime must be usual or sparse, got ${regime}`);
  }
  const fleet = demoFleet({ asOf, ...numbers(), ...(regime === undefined ? {} : { checks: regime }) });
  writeFleet(out, fleet, { forms: values.plain ? "plain" : "as-sent" });
  if (values.truth) writeFileSync(join(out, "truth.json"), `${JSON.stringify(fleet.truth(), null, 1)}\n`);
} catch (error) {
  console.error(error instanceof Error ? error.message : error);
  process.exitCode = 2;
}
