import type { FileRecord } from "./store.ts";
import type { TrailNote } from "./trail.ts";

/** What the trail says of a file that was taken in. */
export function tookIn({ file, takenInAtMs, ...totals }: Omit<FileRecord, "fileId">): TrailNote {
  return { action: "took-in", about: file, after: { ...totals }, atMs: takenInAtMs };
}
