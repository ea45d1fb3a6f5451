import type { StoredReading } from "./store.ts";

/** Columns of {@link StoredRow}, as every database selects them. */
export const STORED_COLUMNS =
  "checked_at_ms, speed_rpm, reading_mpas, fluid_value_mpas, full_scale_range_mpas, check_id, flags, file_id";

/** A stored reading as an array: a named object from the database costs several times as much. */
export type StoredRow = readonly [
  checkedAtMs: number,
  speedRpm: number,
  readingMPaS: number,
  fluidValueMPaS: number,
  fullScaleRangeMPaS: number,
  checkId: string | null,
  flags: number,
  fileId: number,
];

/** @param fileId The file that is being taken in. */
export function storedReading(row: StoredRow, fileId: number): StoredReading {
  const [checkedAtMs, speedRpm, readingMPaS, fluidValueMPaS, fullScaleRangeMPaS, checkId, flags, from] = row;
  return {
    checkedAtMs,
    speedRpm,
    readingMPaS,
    fluidValueMPaS,
    fullScaleRangeMPaS,
    checkId,
    flags,
    fromThisFile: from === fileId,
  };
}
