import assert from "node:assert/strict";
import { createHash } from "node:crypto";
import { mkdtempSync, readdirSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, describe, it } from "vitest";
import { type DemoFleet, demoFleet } from "../../../dashboard/demo/demo-fleet.ts";
import { writeFleet } from "../../../dashboard/demo/fleet-files.ts";
import type { FileManifest } from "../../../dashboard/demo/manifest.ts";

const AS_OF = "2026-03-31";
const scratch = mkdtempSync(join(tmpdir(), "springtide-demo-"));
afterAll(() => rmSync(scratch, { recursive: true, force: true }));

let folders = 0;
function written(
  fleet: DemoFleet,
  forms: "plain" | "as-sent",
): { folder: string; manifests: readonly FileManifest[] } {
  const folder = join(scratch, String(folders++));
  return { folder, manifests: writeFleet(folder, fleet, { forms }) };
}

function filesIn(folder: string): string[] {
  return readdirSync(folder, { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile())
    .map((entry) => join(entry.parentPath, entry.name))
    .sort();
}

function digest(folder: string): string {
  const hash = createHash("sha256");
  for (const file of filesIn(folder)) hash.update(file.slice(folder.length)).update(readFileSync(file));
  return hash.digest("hex");
}

/** Readings in a file, counted without the writer's help. */
function countReadings(path: string): number {
  const text = readFileSync(path, "utf8");
  if (path.endsWith(".json")) {
    const checks = JSON.parse(text) as { readings: unknown[] }[];
    return checks.reduce((sum, { readings }) => sum + readings.length, 0);
  }
  const lines = text.trimEnd().split("\n");
  if (path.endsWith(".ndjson")) return lines.map((line) => JSON.parse(line) as object).length;
  const [header = "", ...rows] = lines;
  const columns = header.split(",");
  const sets = columns.filter((column) => /^reading_mpas_\d$/.test(column)).length;
  if (sets === 0) return rows.length;
  return rows.reduce((sum, row) => {
    const cells = row.split(",").slice(-4 * sets);
    return (
      sum +
      Array.from({ length: sets }, (_, i) => cells.slice(4 * i, 4 * i + 4).join("")).filter(Boolean).length
    );
  }, 0);
}

describe("writeFleet", () => {
  it("writes the same bytes for the same options, others for another seed", () => {
    for (const forms of ["plain", "as-sent"] as const) {
      const options = { asOf: AS_OF, units: 12, seed: 3 };
      const first = digest(written(demoFleet(options), forms).folder);
      assert.equal(digest(written(demoFleet(options), forms).folder), first);
      assert.notEqual(digest(written(demoFleet({ ...options, seed: 4 }), forms).folder), first);
    }
  });

  it("counts what it writes, in every form", () => {
    const { folder, manifests } = written(demoFleet({ asOf: AS_OF, units: 90 }), "as-sent");
    assert.deepEqual(filesIn(folder), manifests.map(({ file }) => join(folder, file)).sort());
    for (const manifest of manifests) {
      const { file, kind, rows, accepted, repeated, quarantined, reasons } = manifest;
      assert.equal(rows, accepted + repeated + quarantined, file);
      assert.equal(
        Object.values(reasons).reduce((sum, n) => sum + n, 0),
        quarantined,
        file,
      );
      if (kind === "readings") assert.equal(countReadings(join(folder, file)), rows, file);
      else
        assert.equal(readFileSync(join(folder, file), "utf8").trimEnd().split("\n").length - 1, rows, file);
    }
    const extensions = new Set(manifests.map(({ file }) => file.replace(/^.*\./, "")));
    assert.deepEqual([...extensions].sort(), ["csv", "json", "ndjson"]);
  });

  it("makes every slip in the default demo, some dozens in all, and sends one file twice", () => {
    const { manifests } = written(demoFleet({ asOf: AS_OF }), "as-sent");
    const reasons = new Set(manifests.flatMap((manifest) => Object.keys(manifest.reasons)));
    const flags = new Set(manifests.flatMap((manifest) => Object.keys(manifest.flags)));
    assert.deepEqual([...reasons].sort(), [
      "bad-time",
      "conflicts",
      "in-the-future",
      "missing-field",
      "negative",
      "not-a-number",
      "over-range",
      "range-disagrees",
      "reading-disagrees",
      "unit-mixup",
      "unknown-value",
      "unreadable-row",
    ]);
    assert.deepEqual([...flags].sort(), ["looks-nominal", "lot-expired", "lot-unknown", "temperature-off"]);
    const quarantined = manifests.reduce((sum, manifest) => sum + manifest.quarantined, 0);
    assert.ok(quarantined > 50 && quarantined < 200, `${quarantined} quarantined`);
    const again = manifests.filter(({ repeated, rows }) => repeated === rows);
    assert.deepEqual(
      again.map(({ file }) => file),
      ["ellerquay/sent-again-2025.csv"],
    );
  });

  it("writes the plain form without slips, readings and registers as one CSV each", () => {
    const { folder, manifests } = written(demoFleet({ asOf: AS_OF, units: 20 }), "plain");
    assert.deepEqual(
      filesIn(folder).map((file) => file.slice(folder.length + 1)),
      ["fluids.csv", "geometries.csv", "instruments.csv", "readings.csv", "services.csv"],
    );
    for (const { file, rows, accepted } of manifests) assert.equal(accepted, rows, file);
    const [header] = readFileSync(join(folder, "instruments.csv"), "utf8").split("\n");
    assert.equal(
      header,
      "instrument,site,model_class,full_scale_torque_unm,usage,in_service_since,last_service,next_service_due",
    );
  });
});
