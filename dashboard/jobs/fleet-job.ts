import { randomUUID } from "node:crypto";
import { deserialize, serialize } from "node:v8";
import type { PgBoss } from "pg-boss";
import { assessmentOf, forecastUnits, likeliestFirst, type UnitForecast } from "../../analysis/index.ts";
import type { Store } from "../../ingest/index.ts";
import { type FleetRun, lookAt } from "../assessment/assess-store.ts";
import { loadFleet } from "../assessment/load-fleet.ts";
import { outputOf } from "./outputs.ts";
import { FLEET, UNITS } from "./queue.ts";

/** Units of one job: some seconds of one core. */
const UNITS_A_JOB = 250;

interface FleetOrder {
  readonly asOf: string;
  readonly mode: "kept" | "anew";
}

interface UnitsOrder {
  readonly asOf: string;
  readonly instruments: readonly string[];
  /** The job that learnt what the fleet shares. */
  readonly fleetJob: string;
}

/** What a job gives, exactly as it was: JSON would lose numbers that are none. */
export interface Packed {
  readonly v8Base64: string;
}

/** Numbers of the jobs of one fleet run. */
export interface SentRun {
  readonly fleetJob: string;
  readonly unitsJobs: readonly string[];
}

/** Cuts a fleet run into jobs: what units share first, then the units, some at once. */
export async function sendFleetRun(
  queue: PgBoss,
  store: Store,
  order: FleetOrder,
  unitsAJob = UNITS_A_JOB,
): Promise<SentRun> {
  const instruments = (await store.instruments()).map(({ instrument }) => instrument);
  const fleetJob = randomUUID();
  const parts: { id: string; instruments: string[] }[] = [];
  for (let from = 0; from < instruments.length; from += unitsAJob) {
    parts.push({ id: randomUUID(), instruments: instruments.slice(from, from + unitsAJob) });
  }
  await queue.flow([
    { ref: "fleet", name: FLEET, data: order, options: { id: fleetJob } },
    ...parts.map(({ id, instruments: units }) => ({
      ref: id,
      name: UNITS,
      data: { asOf: order.asOf, instruments: units, fleetJob } satisfies UnitsOrder,
      options: { id },
      dependsOn: ["fleet"],
    })),
  ]);
  return { fleetJob, unitsJobs: parts.map(({ id }) => id) };
}

/** The shared block: figures, lots and baths from all readings at once; no unit is forecast yet. */
export async function learnFleet(store: Store, { asOf, mode }: FleetOrder): Promise<Packed> {
  const { fleet, figures, ...facts } = await lookAt(store, asOf, mode, () => undefined);
  return pack({ ...facts, figures, assessment: assessmentOf(fleet, figures, []) } satisfies FleetRun);
}

/** Forecasts of some units, with the figures that the run learnt. */
export async function forecastPart(store: Store, queue: PgBoss, order: UnitsOrder): Promise<Packed> {
  const { settings, figures } = unpack<FleetRun>(await outputOf(queue, FLEET, order.fleetJob));
  const { fleet } = await loadFleet(store, order.asOf, settings, { instruments: order.instruments });
  return pack(forecastUnits(fleet, figures));
}

/** The whole run, once all its jobs are done. @throws {CommandError} where one was given up. */
export async function collectFleetRun(queue: PgBoss, { fleetJob, unitsJobs }: SentRun): Promise<FleetRun> {
  const run = unpack<FleetRun>(await outputOf(queue, FLEET, fleetJob));
  const units: UnitForecast[] = [];
  for (const id of unitsJobs) units.push(...unpack<UnitForecast[]>(await outputOf(queue, UNITS, id)));
  return { ...run, assessment: { ...run.assessment, units: likeliestFirst(units) } };
}

function pack(value: unknown): Packed {
  return { v8Base64: serialize(value).toString("base64") };
}

function unpack<T>({ v8Base64 }: Packed): T {
  return deserialize(Buffer.from(v8Base64, "base64")) as T;
}
