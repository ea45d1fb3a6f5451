import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { onTestFinished } from "vitest";
import { type IngestOptions, ingestPaths, openStore, type Store } from "../../../ingest/index.ts";

/** The present time of these tests. */
export const NOW = Date.parse("2026-04-01T12:00:00Z");

/** A folder of its own for one test, removed after it. */
export function scratchFolder(): string {
  const folder = mkdtempSync(join(tmpdir(), "springtide-ingest-"));
  onTestFinished(() => rmSync(folder, { recursive: true, force: true }));
  return folder;
}

/** An empty store for one test, closed after it. */
export async function scratchStore(folder = scratchFolder()): Promise<Store> {
  const store = await openStore(`sqlite:${join(folder, "store.sqlite")}`);
  onTestFinished(() => store.close());
  return store;
}

/** Writes files into a folder: by name, text or bytes. Answers the folder. */
export function writeFiles(
  files: Readonly<Record<string, string | Uint8Array>>,
  folder = scratchFolder(),
): string {
  for (const [name, content] of Object.entries(files)) {
    const path = join(folder, name);
    mkdirSync(dirname(path), { recursive: true });
    writeFileSync(path, content);
  }
  return folder;
}

/** Takes files into a store as a call would, at the time {@link NOW}. */
export function ingest(store: Store, path: string, options: Partial<IngestOptions> = {}) {
  return ingestPaths(store, [path], { now: () => NOW, ...options });
}

/** Everything in a store that does not depend on the order in which it came. */
export async function contents(store: Store) {
  const columns = await store.readings();
  const name = (names: readonly string[], index: number) => (index < 0 ? null : names[index]);
  const readings = Array.from({ length: columns.count }, (_, i) => ({
    instrument: name(columns.names.instruments, columns.instrument[i]!),
    checkedAtMs: columns.checkedAtMs[i],
    speedRpm: columns.speedRpm[i],
    readingMPaS: columns.readingMPaS[i],
    fluidValueMPaS: columns.fluidValueMPaS[i],
    fullScaleRangeMPaS: columns.fullScaleRangeMPaS[i],
    torquePercent: columns.torquePercent[i],
    temperatureC: columns.temperatureC[i],
    fluidLot: name(columns.names.fluidLots, columns.fluidLot[i]!),
    geometry: name(columns.names.geometries, columns.geometry[i]!),
    site: name(columns.names.sites, columns.site[i]!),
    operator: name(columns.names.operators, columns.operator[i]!),
    stage: columns.stage[i],
    flags: columns.flags[i],
    line: columns.line[i],
  }));
  const sorted = (rows: readonly object[]) => rows.map((row) => JSON.stringify(row)).sort();
  return {
    readings: sorted(readings),
    instruments: await store.instruments(),
    services: await store.services(),
    fluids: await store.fluids(),
    geometries: await store.geometries(),
    quarantined: sorted(await store.quarantined()),
  };
}
