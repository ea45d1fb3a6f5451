import { IngestError } from "../errors.ts";
import { type RawRecord, type RecordReader, unreadable } from "../record.ts";
import { detached } from "../text/detached.ts";
import { type Element, type ElementSplitter, MAX_DEPTH } from "./split-elements.ts";

const MAX_COLUMNS = 5000;

/** The key under which a check object holds its readings. */
const NESTED = "readings";

/**
 * Reads JSON objects as records; columns are the keys, in the order in which they are first seen.
 *
 * @remarks A check object with `readings: [...]` gives one record per reading, with the check's own fields shared.
 */
export class JsonReader implements RecordReader {
  readonly columns: string[] = [];
  readonly #places = new Map<string, number>();
  readonly #splitter: ElementSplitter;
  readonly #decimal: "." | ",";

  /** @param decimal The file's decimal mark: numbers are handed on as text that is read with it. */
  constructor(splitter: ElementSplitter, decimal: "." | ",") {
    this.#splitter = splitter;
    this.#decimal = decimal;
  }

  push(piece: string): RawRecord[] {
    return this.#splitter.push(piece).flatMap((element) => this.#toRecords(element));
  }

  end(): RawRecord[] {
    return this.#splitter.end().flatMap((element) => this.#toRecords(element));
  }

  #toRecords({ line, column, raw, problem }: Element): RawRecord[] {
    if (problem !== null) return [unreadable({ line, column, raw }, problem)];
    const value = parse(raw);
    if (!isObject(value)) return [unreadable({ line, column, raw }, "it is not a JSON object")];
    if (isDeeperThan(MAX_DEPTH, value)) {
      return [unreadable({ line, column, raw }, `it is nested more than ${MAX_DEPTH} levels deep`)];
    }
    if (!(NESTED in value))
      return [{ line, column, part: 0, raw, fields: this.#toFields(value), problem: null }];

    const { [NESTED]: readings, ...shared } = value;
    if (!Array.isArray(readings)) {
      return [unreadable({ line, column, raw }, `its "${NESTED}" is not a list`)];
    }
    return readings.map((reading: unknown, i) => {
      const place = { line, column, part: i + 1, raw };
      if (!isObject(reading)) return unreadable(place, `reading ${i + 1} of the check is no object`);
      return { ...place, fields: this.#toFields({ ...shared, ...reading }), problem: null };
    });
  }

  #toFields(object: Readonly<Record<string, unknown>>): string[] {
    const fields: string[] = [];
    for (const [key, value] of Object.entries(object)) {
      const place = this.#placeOf(key);
      while (fields.length <= place) fields.push("");
      fields[place] = this.#toText(value);
    }
    return fields;
  }

  #placeOf(key: string): number {
    const known = this.#places.get(key);
    if (known !== undefined) return known;
    if (this.columns.length >= MAX_COLUMNS) {
      throw new IngestError(
        "too-many-columns",
        `The objects have more than ${MAX_COLUMNS} different keys: this is no table of readings.`,
      );
    }
    const name = detached(key);
    const place = this.columns.push(name) - 1;
    this.#places.set(name, place);
    return place;
  }

  #toText(value: unknown): string {
    if (value === null || value === undefined) return "";
    if (typeof value === "string") return value;
    if (typeof value === "number") return String(value).replace(".", this.#decimal);
    return JSON.stringify(value);
  }
}

function parse(raw: string): unknown {
  try {
    return JSON.parse(raw);
  } catch {
    return undefined;
  }
}

function isDeeperThan(levels: number, value: unknown): boolean {
  if (typeof value !== "object" || value === null) return false;
  return levels === 0 || Object.values(value).some((inner) => isDeeperThan(levels - 1, inner));
}

function isObject(value: unknown): value is Record<string, unknown> {
  return typeof value === "object" && value !== null && !Array.isArray(value);
}
