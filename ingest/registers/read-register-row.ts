import type { Column } from "../columns/columns.ts";
import { parseNumber } from "../columns/parse-number.ts";
import type { TimeReader } from "../columns/parse-time.ts";
import {
  FLUID_TYPES,
  type FluidRecord,
  type GeometryRecord,
  type InstrumentRecord,
  type Reason,
  type ResultRecord,
  SERVICE_ACTIONS,
  type ServiceRecord,
  USAGES,
} from "../store/store.ts";

/** How the fields of a register row are read. */
export interface RegisterStyle {
  readonly decimal: "." | ",";
  readonly times: TimeReader;
  readonly toOwnUnit: Readonly<Partial<Record<Column, (value: number) => number>>>;
}

/** Why a register row cannot be used. */
export class RowProblem {
  readonly reason: Reason;
  readonly message: string;

  constructor(reason: Reason, message: string) {
    this.reason = reason;
    this.message = message;
  }
}

/**
 * The fields of one register row, read as they are asked for.
 *
 * @remarks Of several problems the one counts that comes first in the order of the reasons.
 */
class Fields {
  readonly #text: (column: Column) => string;
  readonly #style: RegisterStyle;
  readonly #problems = new Map<Reason, string>();

  constructor(text: (column: Column) => string, style: RegisterStyle) {
    this.#text = text;
    this.#style = style;
  }

  textOf(column: Column): string | null {
    return this.#text(column) || null;
  }

  /** The text of a column that must not be empty. */
  needed(column: Column): string {
    const text = this.#text(column);
    if (text === "") this.#note("missing-field", `The field ${column} is empty.`);
    return text;
  }

  /** @param least What the number must be above ("above-zero"), or may be from on ("from-zero"). */
  number(column: Column, least: "above-zero" | "from-zero" | "any" = "above-zero"): number | null {
    const text = this.#text(column);
    if (text === "") return null;
    const { decimal, toOwnUnit } = this.#style;
    const written = parseNumber(text, decimal);
    const value = toOwnUnit[column]?.(written) ?? written;
    if (Number.isNaN(value)) {
      this.#note(
        "not-a-number",
        `"${text}" in ${column} is not a number written with a decimal ${decimal === "." ? "point" : "comma"}.`,
      );
    } else if (value < 0 && least !== "any") {
      this.#note("negative", `${text} in ${column} is below zero.`);
    } else if (value === 0 && least === "above-zero") {
      this.#note("negative", `${column} is zero.`);
    }
    return value;
  }

  day(column: Column): string | null {
    const text = this.#text(column);
    if (text === "") return null;
    const day = this.#style.times.dayOf(text);
    if (day === null) {
      this.#note(
        "bad-time",
        `"${text}" in ${column} is not a date that exists${this.#style.times.expectation("2026-03-31")}.`,
      );
    } else if (day < "1950-01-01") {
      this.#note("bad-time", `${text} in ${column} is before 1950: is the year right?`);
    }
    return day;
  }

  /** Unit: ms since 1970-01-01 UTC; NaN where a problem was noted. */
  instant(column: Column): number {
    const text = this.#text(column);
    const instant = text === "" ? Number.NaN : this.#style.times.instantOf(text);
    if (text !== "" && Number.isNaN(instant)) {
      const expected = this.#style.times.expectation("2026-03-31T08:15:00Z");
      this.#note("bad-time", `"${text}" in ${column} is not a time that exists${expected}.`);
    }
    return instant;
  }

  word<Word extends string>(column: Column, words: readonly Word[]): Word | null {
    const text = this.#text(column);
    if (text === "") return null;
    const known = words.find((word) => word === text.toLowerCase().replace(/[ -]/g, "_"));
    if (known === undefined) {
      this.#note("unreadable-row", `"${text}" in ${column} is none of ${words.join(", ")}.`);
    }
    return known ?? null;
  }

  /** The record, or the first problem met while its fields were read. */
  settle<Row>(record: Row): Row | RowProblem {
    for (const reason of [
      "unreadable-row",
      "missing-field",
      "not-a-number",
      "bad-time",
      "negative",
    ] as const) {
      const message = this.#problems.get(reason);
      if (message !== undefined) return new RowProblem(reason, message);
    }
    return record;
  }

  #note(reason: Reason, message: string): void {
    if (!this.#problems.has(reason)) this.#problems.set(reason, message);
  }
}

/** Reads one row of a register: the record, or the reason why there is none. */
type RowReader<Row> = (text: (column: Column) => string, style: RegisterStyle) => Row | RowProblem;

/** One row of `instruments`. */
export const readInstrument: RowReader<InstrumentRecord> = (text, style) => {
  const fields = new Fields(text, style);
  return fields.settle({
    instrument: fields.needed("instrument"),
    site: fields.textOf("site"),
    modelClass: fields.textOf("model_class"),
    fullScaleTorqueUnm: fields.number("full_scale_torque_unm"),
    usage: fields.word("usage", USAGES),
    inServiceSince: fields.day("in_service_since"),
    lastService: fields.day("last_service"),
    nextServiceDue: fields.day("next_service_due"),
  });
};

/** One row of `services`. */
export const readService: RowReader<ServiceRecord> = (text, style) => {
  const fields = new Fields(text, style);
  fields.needed("serviced_at");
  fields.needed("action");
  return fields.settle({
    instrument: fields.needed("instrument"),
    // Both are set wherever no problem was noted.
    servicedAt: fields.day("serviced_at") ?? "",
    action: fields.word("action", SERVICE_ACTIONS) ?? "inspected",
  });
};

/** One row of `fluids`. */
export const readFluid: RowReader<FluidRecord> = (text, style) => {
  const fields = new Fields(text, style);
  fields.needed("certified_mpas");
  return fields.settle({
    fluidLot: fields.needed("fluid_lot"),
    fluidType: fields.word("fluid_type", FLUID_TYPES),
    nominalMPaS: fields.number("nominal_mpas"),
    certifiedMPaS: fields.number("certified_mpas"),
    expandedUncertaintyPercent: fields.number("expanded_uncertainty_percent", "from-zero"),
    referenceTemperatureC: fields.number("reference_temperature_c", "any"),
    temperatureCoefficientPercentPerK: fields.number("temperature_coefficient_percent_per_k", "any"),
    expiresOn: fields.day("expires_on"),
  });
};

/** One row of `geometries`. */
export const readResult: RowReader<ResultRecord> = (text, style) => {
  const fields = new Fields(text, style);
  fields.needed("measured_at");
  return fields.settle({
    instrument: fields.needed("instrument"),
    measuredAtMs: fields.instant("measured_at"),
    sample: fields.textOf("sample") ?? "",
    viscosityMPaS: fields.number("viscosity", "from-zero"),
    torquePercent: fields.number("torque", "from-zero"),
  });
};

export const readGeometry: RowReader<GeometryRecord> = (text, style) => {
  const fields = new Fields(text, style);
  return fields.settle({
    geometry: fields.needed("geometry"),
    bobRadiusMm: fields.number("bob_radius_mm"),
    cupRadiusMm: fields.number("cup_radius_mm"),
    bobLengthMm: fields.number("bob_length_mm"),
    endFactor: fields.number("end_factor"),
  });
};
