import { canonicalNames } from "../columns/canonical-names.ts";
import { READING_COLUMNS, type ReadingColumn } from "../columns/columns.ts";
import { parseNumber } from "../columns/parse-number.ts";
import { numberedColumn, readingSets } from "../columns/reading-sets.ts";
import { PLAIN, type PlainKind, type PlainRow } from "../csv/plain-row.ts";
import type { WayOfReading } from "../way-of-reading.ts";
import { NUMBER_FIELDS } from "./draft.ts";

const NUMBERS: ReadonlySet<string> = new Set(NUMBER_FIELDS.map(([column]) => column));
const TEXTS: ReadonlySet<string> = new Set(READING_COLUMNS.filter((column) => !NUMBERS.has(column)));

/** Where one column of a reading stands in a plain row, and what counts where it is empty. */
interface TextField {
  /** -1 where the file has no such column. */
  readonly place: number;
  readonly constant: string;
}
interface NumberField {
  readonly place: number;
  readonly constant: number | undefined;
  readonly convert: ((value: number) => number) | undefined;
}

/** One reading of a plain row. Each column by a name of its own: looked up by its name it takes three times as long. */
export interface PlainSet {
  /** See {@link ReadingSet}. */
  readonly number: number;
  readonly numberedPlaces: readonly number[];
  readonly instrument: TextField;
  readonly checkedAt: TextField;
  readonly fluidLot: TextField;
  readonly geometry: TextField;
  readonly site: TextField;
  readonly operator: TextField;
  readonly checkId: TextField;
  readonly stage: TextField;
  readonly speedRpm: NumberField;
  readonly readingMPaS: NumberField;
  readonly fluidValueMPaS: NumberField;
  readonly fullScaleRangeMPaS: NumberField;
  readonly torquePercent: NumberField;
  readonly temperatureC: NumberField;
}

/** The readings in the plain rows of one file: one a row, or one for each number in a wide one. */
export function plainSets(columns: readonly string[], way: WayOfReading): PlainSet[] {
  const { profile, constants, decimal } = way;
  return readingSets(canonicalNames(columns, profile.columns)).map((set): PlainSet => {
    const { number, numberedPlaces, places } = set;
    const text = (column: ReadingColumn) => ({ place: places[column], constant: constants[column] ?? "" });
    const numeric = (column: ReadingColumn) => ({
      place: places[column],
      constant: constants[column] === undefined ? undefined : parseNumber(constants[column], decimal),
      convert: profile.toOwnUnit[column],
    });
    return {
      number,
      numberedPlaces,
      instrument: text("instrument"),
      checkedAt: text("checked_at"),
      fluidLot: text("fluid_lot"),
      geometry: text("geometry"),
      site: text("site"),
      operator: text("operator"),
      checkId: text("check_id"),
      stage: text("stage"),
      speedRpm: numeric("speed_rpm"),
      readingMPaS: numeric("reading_mpas"),
      fluidValueMPaS: numeric("fluid_value_mpas"),
      fullScaleRangeMPaS: numeric("full_scale_range_mpas"),
      torquePercent: numeric("torque_percent"),
      temperatureC: numeric("temperature_c"),
    };
  });
}

/** What is to be read of each field of a row. */
export function plainKinds(
  columns: readonly string[],
  { profile }: WayOfReading,
  isWanted: (column: ReadingColumn) => boolean = () => true,
): PlainKind[] {
  return canonicalNames(columns, profile.columns).map((name) => {
    const column = numberedColumn(name)?.column ?? name;
    if (!isWanted(column as ReadingColumn)) return PLAIN.skipped;
    if (NUMBERS.has(column)) return PLAIN.number;
    return TEXTS.has(column) ? PLAIN.text : PLAIN.skipped;
  });
}

/** Whether all numbered fields of a set are empty: then there is no such reading. */
export function isEmptySet({ texts, numbers }: PlainRow, { number, numberedPlaces }: PlainSet): boolean {
  return number > 0 && numberedPlaces.every((place) => texts[place] === "" && Number.isNaN(numbers[place]!));
}

export function plainText({ texts }: PlainRow, { place, constant }: TextField): string {
  const text = place < 0 ? "" : texts[place]!;
  return text === "" ? constant : text;
}

/** In the column's own unit; null where the row has none. */
export function plainNumber({ numbers }: PlainRow, { place, constant, convert }: NumberField): number | null {
  const written = place < 0 ? Number.NaN : numbers[place]!;
  const value = Number.isNaN(written) ? constant : written;
  if (value === undefined) return null;
  return convert === undefined ? value : convert(value);
}
