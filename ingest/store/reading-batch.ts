import type { ComparedValues } from "./equal-readings.ts";
import { flagBits } from "./flag-bits.ts";
import { type ReadingColumns, type ReadingRecord, STAGES } from "./store.ts";

/**
 * Readings on their way into a store, as columns of length `count`, in the order of their file. Text columns are indices
 * into `names`; -1 is "not recorded". Missing numbers are NaN.
 */
export interface ReadingBatch extends Omit<ReadingColumns, "check" | "fileId" | "names"> {
  readonly checkId: Int32Array;
  readonly names: ReadingColumns["names"] & { readonly checkIds: readonly string[] };
}

const FIRST_ROOM = 1024;

/** Puts readings together to a batch. */
export class BatchBuilder {
  #count = 0;
  #numbers = roomFor(FIRST_ROOM);
  readonly #instruments = new NameList();
  readonly #fluidLots = new NameList();
  readonly #geometries = new NameList();
  readonly #sites = new NameList();
  readonly #operators = new NameList();
  readonly #checkIds = new NameList();

  get count(): number {
    return this.#count;
  }

  add(reading: ReadingRecord): void {
    const i = this.#count++;
    if (i === this.#numbers.line.length) this.#numbers = moved(this.#numbers, 2 * i);
    const to = this.#numbers;
    to.instrument[i] = this.#instruments.placeOf(reading.instrument);
    to.checkedAtMs[i] = reading.checkedAtMs;
    to.speedRpm[i] = reading.speedRpm;
    to.readingMPaS[i] = reading.readingMPaS;
    to.fluidValueMPaS[i] = reading.fluidValueMPaS;
    to.fullScaleRangeMPaS[i] = reading.fullScaleRangeMPaS;
    to.torquePercent[i] = reading.torquePercent ?? Number.NaN;
    to.temperatureC[i] = reading.temperatureC ?? Number.NaN;
    to.fluidLot[i] = this.#fluidLots.placeOf(reading.fluidLot);
    to.geometry[i] = this.#geometries.placeOf(reading.geometry);
    to.site[i] = this.#sites.placeOf(reading.site);
    to.operator[i] = this.#operators.placeOf(reading.operator);
    to.checkId[i] = this.#checkIds.placeOf(reading.checkId);
    to.stage[i] = STAGES.indexOf(reading.stage);
    to.flags[i] = flagBits(reading.flags);
    to.line[i] = reading.line;
  }

  /** The batch of all that was added; the builder is of no use afterwards. */
  batch(): ReadingBatch {
    return {
      count: this.#count,
      ...this.#numbers,
      names: {
        instruments: this.#instruments.names,
        fluidLots: this.#fluidLots.names,
        geometries: this.#geometries.names,
        sites: this.#sites.names,
        operators: this.#operators.names,
        checkIds: this.#checkIds.names,
      },
    };
  }
}

/** Readings as a batch. */
export function batchOf(readings: Iterable<ReadingRecord>): ReadingBatch {
  const builder = new BatchBuilder();
  for (const reading of readings) builder.add(reading);
  return builder.batch();
}

/** The name that a text column of a batch points to. */
export function nameAt(names: readonly string[], place: number): string | null {
  return place < 0 ? null : names[place]!;
}

/** The values of one reading in which another with the same instrument, time and speed may differ. */
export function comparedValues(batch: ReadingBatch, i: number): ComparedValues {
  return {
    readingMPaS: batch.readingMPaS[i]!,
    torquePercent: knownNumber(batch.torquePercent[i]!),
    fullScaleRangeMPaS: batch.fullScaleRangeMPaS[i]!,
    fluidValueMPaS: batch.fluidValueMPaS[i]!,
    fluidLot: nameAt(batch.names.fluidLots, batch.fluidLot[i]!),
    temperatureC: knownNumber(batch.temperatureC[i]!),
  };
}

/** A number of a batch as databases keep it. */
export function knownNumber(value: number): number | null {
  return Number.isNaN(value) ? null : value;
}

type Numbers = Omit<ReadingBatch, "count" | "names">;

function roomFor(count: number): Numbers {
  return {
    instrument: new Int32Array(count),
    checkedAtMs: new Float64Array(count),
    speedRpm: new Float64Array(count),
    readingMPaS: new Float64Array(count),
    fluidValueMPaS: new Float64Array(count),
    fullScaleRangeMPaS: new Float64Array(count),
    torquePercent: new Float64Array(count),
    temperatureC: new Float64Array(count),
    fluidLot: new Int32Array(count),
    geometry: new Int32Array(count),
    site: new Int32Array(count),
    operator: new Int32Array(count),
    checkId: new Int32Array(count),
    stage: new Uint8Array(count),
    flags: new Uint16Array(count),
    line: new Int32Array(count),
  };
}

function moved(from: Numbers, room: number): Numbers {
  const to = roomFor(room);
  for (const name of Object.keys(to) as (keyof Numbers)[]) to[name].set(from[name]);
  return to;
}

/** Names in the order in which they first come. */
class NameList {
  readonly names: string[] = [];
  readonly #places = new Map<string, number>();
  #lastName = "";
  #lastPlace = -1;

  placeOf(name: string | null): number {
    if (name === null) return -1;
    // Readings of one unit, and of one check, follow each other.
    if (this.#lastPlace >= 0 && name === this.#lastName) return this.#lastPlace;
    let place = this.#places.get(name);
    if (place === undefined) {
      place = this.names.push(name) - 1;
      this.#places.set(name, place);
    }
    this.#lastName = name;
    this.#lastPlace = place;
    return place;
  }
}
