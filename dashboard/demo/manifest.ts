import type { SentRow } from "./slips.ts";

/** What a file holds, counted while it was written: the ingest report is to come to the same. */
export interface FileManifest {
  /** Path below the folder, with forward slashes. */
  readonly file: string;
  readonly kind: "readings" | "instruments" | "services" | "fluids" | "geometries";
  rows: number;
  accepted: number;
  repeated: number;
  quarantined: number;
  flagged: number;
  /** Quarantined rows by reason. */
  readonly reasons: Record<string, number>;
  /** Flags of accepted rows; `outlier` is left out, since it is a judgement and not a slip. */
  readonly flags: Record<string, number>;
}

export function emptyManifest(file: string, kind: FileManifest["kind"]): FileManifest {
  return {
    file,
    kind,
    rows: 0,
    accepted: 0,
    repeated: 0,
    quarantined: 0,
    flagged: 0,
    reasons: {},
    flags: {},
  };
}

/** Counts rows in, each by its fate. */
export function count(manifest: FileManifest, rows: readonly SentRow[]): void {
  for (const { fate } of rows) {
    manifest.rows++;
    manifest[fate.kind]++;
    if (fate.kind === "quarantined") bump(manifest.reasons, fate.reason);
    if (fate.kind === "accepted" && fate.flags.length > 0) {
      manifest.flagged++;
      for (const flag of fate.flags) bump(manifest.flags, flag);
    }
  }
}

function bump(counts: Record<string, number>, name: string): void {
  counts[name] = (counts[name] ?? 0) + 1;
}
