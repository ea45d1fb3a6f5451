import assert from "node:assert/strict";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, it } from "vitest";
import { demoFleet } from "../../../dashboard/demo/demo-fleet.ts";
import { writeFleet } from "../../../dashboard/demo/fleet-files.ts";
import type { FileManifest } from "../../../dashboard/demo/manifest.ts";
import { type IngestReport, ingestPaths, openStore } from "../../../ingest/index.ts";

const AS_OF = "2026-03-31";
const scratch = mkdtempSync(join(tmpdir(), "springtide-agrees-"));
afterAll(() => rmSync(scratch, { recursive: true, force: true }));

describe("the ingest report of an invented fleet", () => {
  const folder = join(scratch, "files");
  let manifests: readonly FileManifest[];
  let first: IngestReport;
  let second: IngestReport;

  beforeAll(async () => {
    // Large enough for every slip to come up.
    manifests = writeFleet(folder, demoFleet({ asOf: AS_OF, units: 100 }), { forms: "as-sent" });
    const store = await openStore(`sqlite:${join(scratch, "demo.sqlite")}`);
    const now = () => Date.parse(`${AS_OF}T12:00:00Z`);
    first = await ingestPaths(store, [folder], { now });
    second = await ingestPaths(store, [folder], { now });
    await store.close();
  });

  /** A file's counts in one line's worth of words; outliers are a judgement that the writer does not make. */
  function told(file: Omit<FileManifest, "file" | "kind" | "flagged">): object {
    const { rows, accepted, repeated, quarantined } = file;
    const { outlier: _, ...flags } = file.flags;
    const sorted = (counts: Record<string, number>) => Object.fromEntries(Object.entries(counts).sort());
    return { rows, accepted, repeated, quarantined, reasons: sorted(file.reasons), flags: sorted(flags) };
  }

  it("comes to what was written, file by file, reason by reason, flag by flag", () => {
    const name = (path: string) => path.slice(folder.length + 1).replaceAll("\\", "/");
    const reported = new Map(first.files.map((file) => [name(file.file), file]));
    assert.equal(reported.size, manifests.length);
    assert.equal(new Set(manifests.flatMap(({ reasons }) => Object.keys(reasons))).size, 12);
    for (const manifest of manifests) {
      const report = reported.get(manifest.file);
      assert.ok(report !== undefined, manifest.file);
      assert.equal(report.error, null);
      assert.equal(report.kind, manifest.kind);
      assert.deepEqual(told(report), told(manifest), manifest.file);
    }
  });

  it("finds nothing new the second time", () => {
    assert.equal(second.totals.accepted, 0);
    assert.equal(second.totals.rows, first.totals.rows);
  });
});
