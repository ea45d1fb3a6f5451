import { createHash, randomUUID } from "node:crypto";
import { deserialize, serialize } from "node:v8";
import type { PgBoss } from "pg-boss";
import {
  assessmentOf,
  forecastUnits,
  likeliestFirst,
  type UnitForecast,
  watchBasis,
} from "../../analysis/index.ts";
import type { Store } from "../../ingest/index.ts";
import packageFile from "../../package.json" with { type: "json" };
import {
  type ChangedRun,
  type EarlierLook,
  type FleetRun,
  limitsTakenOver,
  lookAt,
} from "../assessment/assess-store.ts";
import { loadFleet } from "../assessment/load-fleet.ts";
import { type RunBasis, runBasis, unchangedUnits } from "../assessment/run-basis.ts";
import { outputOf, sendOnce } from "./outputs.ts";
import { FLEET, UNITS } from "./queue.ts";

/** Units of one job: a third of a second of one core. */
const UNITS_A_JOB = 50;

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

interface RunOptions {
  readonly unitsAJob?: number;
  /** An earlier run: parts of the fleet that are as they were then are left out. */
  readonly before?: EarlierLook | null;
  /** Ends the waiting; jobs that were sent are done all the same. */
  readonly signal?: AbortSignal;
}

/** A run whose units were not forecast yet. */
interface LearntFleet extends FleetRun {
  readonly basis: RunBasis;
}

/** What a job gives, exactly as it was: JSON would lose numbers that are none. */
export interface Packed {
  readonly v8Base64: string;
}

/**
 * Has a fleet run made by whichever workers come to it: what units share first, then the units, some at once.
 *
 * @remarks
 * A job is named after what it is made from: the state of the store, or the checks of its units and the fleet's figures.
 * So two servers that look at one store have it worked out once, and after a new file only the units near it.
 *
 * @throws {CommandError} where a job was given up.
 */
export async function assessByJobs(
  queue: PgBoss,
  store: Store,
  order: FleetOrder,
  { unitsAJob = UNITS_A_JOB, before = null, signal }: RunOptions = {},
): Promise<ChangedRun> {
  const fleetJob = order.mode === "anew" ? randomUUID() : await nameOfFleet(store, order.asOf);
  await sendOnce(queue, FLEET, fleetJob, order, signal);
  const learnt = unpack<LearntFleet>(await outputOf(queue, FLEET, fleetJob, signal));

  const units = [...learnt.basis.units];
  const asBefore = unchangedUnits(learnt.basis, before?.basis ?? null);
  const unchanged: string[] = [];
  const jobs: string[] = [];
  for (let from = 0; from < units.length; from += unitsAJob) {
    const part = units.slice(from, from + unitsAJob);
    const instruments = part.map(([instrument]) => instrument);
    if (instruments.every((instrument) => asBefore.has(instrument))) {
      unchanged.push(...instruments);
      continue;
    }
    const job = nameOf("units", learnt.basis.fleet, ...part.flat());
    const unitsOrder: UnitsOrder = { asOf: order.asOf, instruments, fleetJob };
    await sendOnce(queue, UNITS, job, unitsOrder, signal);
    jobs.push(job);
  }
  const forecasts: UnitForecast[] = [];
  for (const job of jobs)
    forecasts.push(...unpack<UnitForecast[]>(await outputOf(queue, UNITS, job, signal)));
  const assessment = { ...learnt.assessment, units: likeliestFirst(forecasts) };
  const limits = limitsTakenOver(before, learnt.basis, learnt.watchBasis?.budget ?? null);
  return { ...learnt, watchBasis: limits ?? learnt.watchBasis, assessment, unchanged };
}

/** The shared block: figures, lots and baths from all readings at once; no unit is forecast yet. */
export async function learnFleet(store: Store, { asOf, mode }: FleetOrder): Promise<Packed> {
  const { fleet, figures, ...facts } = await lookAt(store, asOf, mode, () => undefined);
  const assessment = assessmentOf(fleet, figures, []);
  const limits = watchBasis(fleet, figures, facts.settings.alarms.per_month_per_100_units);
  return pack({
    ...facts,
    figures,
    watchBasis: limits,
    assessment,
    basis: runBasis(fleet, figures),
  } satisfies LearntFleet);
}

/** Forecasts of some units, with the figures that the run learnt. */
export async function forecastPart(store: Store, queue: PgBoss, order: UnitsOrder): Promise<Packed> {
  const { settings, figures } = unpack<LearntFleet>(await outputOf(queue, FLEET, order.fleetJob));
  const { fleet } = await loadFleet(store, order.asOf, settings, { instruments: order.instruments });
  return pack(forecastUnits(fleet, figures));
}

async function nameOfFleet(store: Store, asOf: string): Promise<string> {
  // The queue outlives a store that is emptied and filled anew, whose revisions begin again.
  const lastTakenIn = (await store.files()).reduce((last, file) => Math.max(last, file.takenInAtMs), 0);
  return nameOf("fleet", asOf, await store.revision(), lastTakenIn);
}

/** The number of a job that is made from these; another version of the program makes others. */
function nameOf(...madeFrom: readonly (string | number)[]): string {
  const text = JSON.stringify([packageFile.version, ...madeFrom]);
  const digits = createHash("sha256").update(text).digest("hex");
  // Version 8 of RFC 9562: a digest in the form of a UUID.
  return `${digits.slice(0, 8)}-${digits.slice(8, 12)}-8${digits.slice(13, 16)}-a${digits.slice(17, 20)}-${digits.slice(20, 32)}`;
}

function pack(value: unknown): Packed {
  return { v8Base64: serialize(value).toString("base64") };
}

function unpack<T>({ v8Base64 }: Packed): T {
  return deserialize(Buffer.from(v8Base64, "base64")) as T;
}
