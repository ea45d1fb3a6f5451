import type { OpenedFile } from "./open-file.ts";

/** How far a file has come. */
export interface Progress {
  readonly file: string;
  readonly bytesRead: number;
  /** A file of readings is read twice: once for the ranges it uses, once for its rows. */
  readonly bytesTotal: number;
  readonly rows: number;
}

export type TellProgress = (progress: Progress) => void;

const AT_MOST_EVERY_MS = 250;

/** Adds up what is read of each file, and tells of it now and then. */
export function progressTeller(
  onProgress: TellProgress | undefined,
  now: () => number,
  nameOf: (path: string) => string,
): (file: OpenedFile, bytes: number, rows: number) => void {
  const read = new Map<OpenedFile, number>();
  let lastTold = Number.NEGATIVE_INFINITY;
  return (file, bytes, rows) => {
    const bytesRead = (read.get(file) ?? 0) + bytes;
    read.set(file, bytesRead);
    if (onProgress === undefined || now() - lastTold < AT_MOST_EVERY_MS) return;
    lastTold = now();
    onProgress({
      file: nameOf(file.path),
      bytesRead,
      bytesTotal: file.bytes * (file.kind === "readings" ? 2 : 1),
      rows,
    });
  };
}
