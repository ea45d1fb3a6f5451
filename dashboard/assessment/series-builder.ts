import {
  STAGES as ANALYSIS_STAGES,
  fluidValueAt,
  tolerancePercentFs,
  type UnitChecks,
  USE,
} from "../../analysis/index.ts";
import {
  type FluidRecord,
  flagBits,
  type ReadingColumns,
  STAGES as STORED_STAGES,
} from "../../ingest/index.ts";
import { type Rules, rulesAt } from "./check-rules.ts";
import { DAY_MS } from "./days.ts";

const STAGE_OF = STORED_STAGES.map((stage) => ANALYSIS_STAGES.indexOf(stage));
const NOT_USED = flagBits(["torque-low", "looks-nominal"]);
const TEMPERATURE_OFF = flagBits(["temperature-off"]);
const OUTLIER = flagBits(["outlier"]);

/**
 * Makes the columns of one unit after the other, each check by the rules of its own time.
 *
 * @remarks All units' columns lie in memory that threads can share, so that handing a fleet to one copies no reading.
 */
export class SeriesBuilder {
  private readonly all: UnitChecks["readings"];
  private built = 0;
  private readonly columns: ReadingColumns;
  private readonly rules: readonly Rules[];
  private readonly certificateC: Float64Array;
  private readonly coefficient: Float64Array;
  private readonly setAside: Uint8Array | null;

  constructor(
    columns: ReadingColumns,
    fluidOf: ReadonlyMap<string, FluidRecord>,
    rules: readonly Rules[],
    setAside: Uint8Array | null,
  ) {
    this.setAside = setAside;
    this.columns = columns;
    this.all = sharedReadings(columns.count);
    this.rules = rules;
    const lots = columns.names.fluidLots.map((name) => fluidOf.get(name));
    this.certificateC = Float64Array.from(lots, (f) => f?.referenceTemperatureC ?? Number.NaN);
    this.coefficient = Float64Array.from(lots, (f) => f?.temperatureCoefficientPercentPerK ?? Number.NaN);
  }

  /** The unit's readings as columns, in the order of `rows`. */
  series(rows: Int32Array): UnitChecks["readings"] {
    const { columns } = this;
    const count = rows.length;
    const result = slice(this.all, this.built, count);
    this.built += count;
    let check = -1;
    for (let i = 0; i < count; i++) {
      const row = rows[i]!;
      if (i === 0 || columns.check[rows[i - 1]!] !== columns.check[row]) check++;
      const { tolerance, temperature } = rulesAt(this.rules, columns.checkedAtMs[row]!);
      const lot = columns.fluidLot[row]!;
      const certificateC = this.certificateC[lot] ?? Number.NaN;
      const offset =
        columns.temperatureC[row]! - (Number.isNaN(certificateC) ? temperature.reference_c : certificateC);
      const value = columns.fluidValueMPaS[row]!;
      const range = columns.fullScaleRangeMPaS[row]!;
      const corrected = temperature.correct ? this.valueAt(value, lot, offset) : null;
      const expected = corrected ?? value;
      const geometry = columns.geometry[row]!;
      result.day[i] = columns.checkedAtMs[row]! / DAY_MS;
      result.check[i] = check;
      result.torque[i] = (100 * value) / range;
      result.error[i] = (100 * (columns.readingMPaS[row]! - expected)) / range;
      result.tolerance[i] = tolerancePercentFs(
        result.torque[i]!,
        tolerance,
        columns.names.geometries[geometry] ?? null,
      );
      result.lot[i] = lot;
      result.site[i] = columns.site[row]!;
      result.geometry[i] = geometry;
      result.operator[i] = columns.operator[row]!;
      // Once corrected, the offset has done its work: the fleet model must not take it away a second time.
      result.temperatureOffset[i] = corrected === null ? offset : 0;
      result.stage[i] = STAGE_OF[columns.stage[row]!]!;
      result.use[i] =
        this.setAside?.[row] === 1 ? USE.shownOnly : this.useOf(columns.flags[row]!, corrected !== null);
    }
    return result;
  }

  /** The certified value at the fluid's temperature; null where either is unknown or too far off. */
  private valueAt(value: number, lot: number, offset: number): number | null {
    const coefficient = lot >= 0 ? this.coefficient[lot]! : Number.NaN;
    return Number.isFinite(coefficient * offset) ? fluidValueAt(value, offset, coefficient) : null;
  }

  private useOf(flags: number, wasCorrected: boolean): number {
    if (flags & NOT_USED) return USE.shownOnly;
    if (flags & TEMPERATURE_OFF && !wasCorrected) return USE.shownOnly;
    return flags & OUTLIER ? USE.lowWeight : USE.full;
  }
}

function sharedReadings(count: number): UnitChecks["readings"] {
  const memory = (bytes: number) => new SharedArrayBuffer(bytes * count);
  return {
    count,
    day: new Float64Array(memory(8)),
    check: new Int32Array(memory(4)),
    torque: new Float64Array(memory(8)),
    error: new Float64Array(memory(8)),
    tolerance: new Float64Array(memory(8)),
    lot: new Int32Array(memory(4)),
    site: new Int32Array(memory(4)),
    geometry: new Int32Array(memory(4)),
    operator: new Int32Array(memory(4)),
    temperatureOffset: new Float64Array(memory(8)),
    stage: new Uint8Array(memory(1)),
    use: new Uint8Array(memory(1)),
  };
}

/** So many readings from one on, in the same memory. */
function slice(all: UnitChecks["readings"], from: number, count: number): UnitChecks["readings"] {
  const to = from + count;
  return {
    count,
    day: all.day.subarray(from, to),
    check: all.check.subarray(from, to),
    torque: all.torque.subarray(from, to),
    error: all.error.subarray(from, to),
    tolerance: all.tolerance.subarray(from, to),
    lot: all.lot.subarray(from, to),
    site: all.site.subarray(from, to),
    geometry: all.geometry.subarray(from, to),
    operator: all.operator.subarray(from, to),
    temperatureOffset: all.temperatureOffset.subarray(from, to),
    stage: all.stage.subarray(from, to),
    use: all.use.subarray(from, to),
  };
}
