import assert from "node:assert/strict";
import { type ChildProcess, spawn } from "node:child_process";
import { readdirSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as wait } from "node:timers/promises";
import { fileURLToPath } from "node:url";
import pg from "pg";
import type { PgBoss } from "pg-boss";
import { afterAll, beforeAll, describe, it, onTestFinished } from "vitest";
import { assessStore } from "../../dashboard/assessment/assess-store.ts";
import { forecastReport } from "../../dashboard/assessment/forecast-report.ts";
import { assessByJobs } from "../../dashboard/jobs/fleet-job.ts";
import { packFiles } from "../../dashboard/jobs/intake-job.ts";
import { outputOf } from "../../dashboard/jobs/outputs.ts";
import { INTAKE, openQueue } from "../../dashboard/jobs/queue.ts";
import { type IngestReport, openStore, type Store } from "../../ingest/index.ts";
import { contents, ingest, scratchFolder, scratchStore } from "../ingest/support/scratch.ts";
import {
  addressOf,
  type Cluster,
  killServer,
  removeCluster,
  startCluster,
} from "../support/postgres-cluster.ts";
import { seededRandom } from "../support/random.ts";
import { twentyFiles } from "./twenty-files.ts";

/** `SPRINGTIDE_KILLS=50,20` has so many workers and so many servers killed; the usual run takes a minute. */
const [WORKER_KILLS, SERVER_KILLS] = (process.env.SPRINGTIDE_KILLS ?? "4,2").split(",").map(Number) as [
  number,
  number,
];
const WORKERS = 2;
const AS_OF = "2026-04-01";
const PROGRAM = fileURLToPath(new URL("../../dashboard/springtide.mjs", import.meta.url));

let cluster: Cluster;
beforeAll(async () => {
  cluster = await startCluster();
});
afterAll(() => removeCluster(cluster));

/** Workers of one store; what is killed is started anew, as whoever looks after services would. */
class Crew {
  readonly #url: string;
  readonly #members: ChildProcess[] = [];
  /** Those that ended without having been told to. */
  deserted = 0;
  readonly said: string[] = [];

  constructor(url: string) {
    this.#url = url;
    for (let i = 0; i < WORKERS; i++) this.#start();
  }

  kill(pid: number): void {
    const which = this.#members.findIndex((member) => member.pid === pid);
    const [member] = this.#members.splice(which, 1);
    member!.removeAllListeners("exit");
    member!.kill("SIGKILL");
    this.#start();
  }

  dismiss(): void {
    for (const member of this.#members) {
      member.removeAllListeners("exit");
      member.kill("SIGKILL");
    }
  }

  #start(): void {
    const child = spawn(process.execPath, [PROGRAM, "work", "--store", this.#url], {
      stdio: ["ignore", "ignore", "pipe"],
      env: { ...process.env, NODE_COMPILE_CACHE: join(tmpdir(), "springtide-compile-cache") },
    });
    child.stderr.on("data", (chunk) => this.said.push(String(chunk)));
    child.on("exit", () => {
      this.deserted++;
      this.#members.splice(this.#members.indexOf(child), 1);
      this.#start();
    });
    this.#members.push(child);
  }
}

/** Waits until a worker holds a job. @returns The number of its process; 0 where it is over. */
async function somebodyAtWork(url: string, isOver: () => boolean): Promise<number> {
  while (!isOver()) {
    const [holder] = await asked<{ name: string }>(
      url,
      `SELECT application_name AS name FROM pg_locks JOIN pg_stat_activity USING (pid)
       WHERE locktype = 'advisory' AND granted AND application_name LIKE 'springtide work %'`,
    ).catch(() => []);
    if (holder !== undefined) return Number(holder.name.split(" ").at(-1));
    await wait(20);
  }
  return 0;
}

/** Registers first, as they would be sent, then every file as a job of its own. */
async function sendFiles(queue: PgBoss, folder: string): Promise<string[]> {
  const files = readdirSync(folder).sort(
    (a, b) => Number(a.startsWith("checks")) - Number(b.startsWith("checks")),
  );
  const ids: string[] = [];
  for (const file of files) ids.push((await queue.send(INTAKE, await packFiles([join(folder, file)])))!);
  return ids;
}

async function asked<Row extends pg.QueryResultRow>(url: string, text: string): Promise<Row[]> {
  const client = new pg.Client(url);
  // The server may be killed meanwhile: the query tells.
  client.on("error", () => undefined);
  await client.connect();
  try {
    return (await client.query<Row>(text)).rows;
  } finally {
    await client.end();
  }
}

async function opened(url: string): Promise<Store> {
  const store = await openStore(url);
  onTestFinished(() => store.close());
  return store;
}

describe("work that is shared out", () => {
  it(`comes to its end, every reading once, over ${WORKER_KILLS} kills of workers and ${SERVER_KILLS} of the database`, {
    timeout: 1_800_000,
  }, async () => {
    const input = twentyFiles(scratchFolder());
    const plain = await scratchStore();
    for (const file of readdirSync(input).filter((name) => !name.startsWith("checks"))) {
      await ingest(plain, join(input, file));
    }
    await ingest(plain, input);
    const expected = await contents(plain);
    const { assessment, unregistered } = await assessStore(plain, AS_OF);
    const expectedRun = forecastReport(assessment, unregistered);

    const next = seededRandom(8_112_026);
    const kills = [
      ...Array.from({ length: WORKER_KILLS }, () => "worker" as const),
      ...Array.from({ length: SERVER_KILLS }, () => "server" as const),
    ].sort(() => next.uniform() - 0.5);
    let redone = 0;
    const rounds: object[] = [];
    for (let round = 0; kills.length > 0; round++) {
      const database = `round_${round}`;
      await asked(addressOf(cluster, "postgres"), `CREATE DATABASE ${database}`);
      const url = addressOf(cluster, database);
      const store = await opened(url);
      const queue = await openQueue(store, () => undefined);
      onTestFinished(() => queue.stop({ graceful: false }));
      const crew = new Crew(url);
      onTestFinished(() => crew.dismiss());

      const whileKilling = async <T>(work: Promise<T>): Promise<T> => {
        let isDone = false;
        const done = work.finally(() => {
          isDone = true;
        });
        while (!isDone) {
          const atWork = await somebodyAtWork(url, () => isDone);
          await Promise.race([wait(100 * next.uniform()), done]);
          if (isDone) break;
          const kill = kills.pop();
          if (kill === undefined) break;
          if (kill === "worker") crew.kill(atWork);
          else await killServer(cluster);
        }
        return done;
      };

      const sent = await sendFiles(queue, input);
      const reports = await whileKilling(
        Promise.all(sent.map((id) => outputOf<IngestReport>(queue, INTAKE, id))),
      );
      assert.ok(reports.every(({ files }) => files.every(({ error }) => error === null)));
      assert.deepEqual(await contents(store), expected);
      const [orphans] = await asked<{ n: string }>(
        url,
        `SELECT count(*) AS n FROM springtide.reading
         LEFT JOIN springtide.instrument ON instrument.id = instrument_id
         LEFT JOIN springtide.file ON file.id = file_id
         LEFT JOIN springtide.fluid_lot ON fluid_lot.id = fluid_lot_id
         LEFT JOIN springtide.site ON site.id = site_id
         WHERE instrument.id IS NULL OR file.id IS NULL OR fluid_lot.id IS NULL OR site.id IS NULL`,
      );
      assert.equal(orphans!.n, "0");

      const order = { asOf: AS_OF, mode: "kept" } as const;
      const run = await whileKilling(assessByJobs(queue, store, order, { unitsAJob: 1 }));
      assert.deepEqual(forecastReport(run.assessment, run.unregistered), expectedRun);

      const jobs = await asked<{ state: string; n: string; redone: string }>(
        url,
        `SELECT state, count(*) AS n, sum(retry_count) AS redone FROM pgboss.job WHERE name IN ('intake', 'fleet', 'units') GROUP BY state`,
      );
      assert.deepEqual(
        jobs.map(({ state, n }) => [state, Number(n)]),
        [["completed", 20 + 1 + expectedRun.units.length]],
        crew.said.slice(-20).join(""),
      );
      redone += Number(jobs[0]!.redone);
      // One that starts while the database is down says so and ends, to be started anew.
      assert.ok(crew.deserted <= SERVER_KILLS * WORKERS, crew.said.slice(-20).join(""));
      crew.dismiss();
      await queue.stop({ graceful: false });
      rounds.push({ kills_left: kills.length, begun_again: redone });
    }
    // Kills that hit nobody at work would prove nothing.
    assert.ok(redone >= (WORKER_KILLS + SERVER_KILLS) / 4, JSON.stringify(rounds));
    if (process.env.SPRINGTIDE_KILLS !== undefined) console.log(JSON.stringify(rounds));
  });
});
