import { STAGES, type Stage, type UnitReadings, USE } from "../../analysis/fleet.ts";

export interface ReadingRow {
  readonly day: number;
  readonly check?: number;
  readonly torque?: number;
  readonly error?: number;
  readonly stage?: Stage;
  readonly use?: number;
}

/** Columns from rows; what a test does not name gets a plain value, and each row its own check. */
export function unitReadings(rows: readonly ReadingRow[]): UnitReadings {
  const count = rows.length;
  const absent = new Int32Array(count).fill(-1);
  return {
    count,
    day: Float64Array.from(rows, (r) => r.day),
    check: Int32Array.from(rows, (r, i) => r.check ?? i),
    torque: Float64Array.from(rows, (r) => r.torque ?? 50),
    error: Float64Array.from(rows, (r) => r.error ?? 0),
    tolerance: new Float64Array(count).fill(2.5),
    lot: absent,
    site: absent,
    geometry: absent,
    operator: absent,
    temperatureOffset: new Float64Array(count).fill(Number.NaN),
    stage: Uint8Array.from(rows, (r) => STAGES.indexOf(r.stage ?? "routine")),
    use: Uint8Array.from(rows, (r) => r.use ?? USE.full),
  };
}
