import type { ReadingColumns } from "./store.ts";

/** The columns themselves, without the names that they refer to. */
export type Columns = Omit<ReadingColumns, "count" | "names">;

/** Columns for so many readings; `shared`: in memory that threads share. */
export function emptyColumns(count: number, shared: boolean): Columns {
  const memory = (bytes: number) =>
    shared ? new SharedArrayBuffer(bytes * count) : new ArrayBuffer(bytes * count);
  return {
    instrument: new Int32Array(memory(4)),
    checkedAtMs: new Float64Array(memory(8)),
    check: new Int32Array(memory(4)),
    speedRpm: new Float64Array(memory(8)),
    readingMPaS: new Float64Array(memory(8)),
    fluidValueMPaS: new Float64Array(memory(8)),
    fullScaleRangeMPaS: new Float64Array(memory(8)),
    torquePercent: new Float64Array(memory(8)),
    temperatureC: new Float64Array(memory(8)),
    fluidLot: new Int32Array(memory(4)),
    geometry: new Int32Array(memory(4)),
    site: new Int32Array(memory(4)),
    operator: new Int32Array(memory(4)),
    stage: new Uint8Array(memory(1)),
    flags: new Uint16Array(memory(2)),
    fileId: new Int32Array(memory(4)),
    line: new Int32Array(memory(4)),
  };
}
