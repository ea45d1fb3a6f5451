import assert from "node:assert/strict";
import { spawnSync } from "node:child_process";
import { mkdtempSync, readdirSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { afterAll, describe, it } from "vitest";
import type { FleetTruth } from "../../../dashboard/demo/truth.ts";

const script = fileURLToPath(new URL("../../../dashboard/demo/write-fleet.ts", import.meta.url));
const scratch = mkdtempSync(join(tmpdir(), "springtide-write-"));
afterAll(() => rmSync(scratch, { recursive: true, force: true }));

function run(...words: string[]) {
  return spawnSync(process.execPath, [script, ...words], { encoding: "utf8" });
}

describe("write-fleet", () => {
  it("writes a plain fleet with its truth", () => {
    const words = [
      "--as-of",
      "2026-03-31",
      "--seed",
      "7",
      "--units",
      "25",
      "--regime",
      "sparse",
      "--plain",
      "--truth",
    ];
    const { status, stderr } = run("--out", scratch, ...words);
    assert.equal(stderr, "");
    assert.equal(status, 0);
    assert.deepEqual(readdirSync(scratch).sort(), [
      "fluids.csv",
      "geometries.csv",
      "instruments.csv",
      "readings.csv",
      "services.csv",
      "truth.json",
    ]);
    const truth = JSON.parse(readFileSync(join(scratch, "truth.json"), "utf8")) as FleetTruth;
    assert.equal(truth.instruments.length, 25);
    assert.equal(truth.regime, "sparse");
    assert.equal(
      readFileSync(join(scratch, "readings.csv"), "utf8").trimEnd().split("\n").length - 1,
      truth.readings,
    );
  });

  it("says in one line what is wrong with the call", () => {
    for (const [words, line] of [
      [["--as-of", "2026-03-31"], "--out DIR and --as-of DAY are needed\n"],
      [["--out", scratch, "--as-of", "today"], "as-of must be a day such as 2026-03-31, got today\n"],
      [
        ["--out", scratch, "--as-of", "2026-03-31", "--regime", "calm"],
        "--regime must be usual or sparse, got calm\n",
      ],
    ] as const) {
      const { status, stderr } = run(...words);
      assert.equal(stderr, line);
      assert.equal(status, 2);
    }
  });
});
