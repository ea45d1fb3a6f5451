import pg from "pg";
import type { PgBoss } from "pg-boss";
import { QUEUES } from "./queue.ts";

/** A worker that has just taken a job has this long to get hold of it. Unit: s. */
const TO_GET_HOLD_S = 1;

/**
 * Which jobs a worker holds, told to the others by locks of its connection: they go with the worker, however it ends,
 * and at once. So a lost job is taken by another within moments, and two workers never do one job at the same time.
 */
export class Holds {
  readonly #url: string;
  readonly #held = new Set<string>();
  #client: Promise<pg.Client> | null = null;

  constructor(url: string) {
    this.#url = url;
  }

  /**
   * Does a job while holding it; `work` is to have it completed too, so that a job that nobody holds is a lost one.
   *
   * @throws where another worker holds it.
   */
  async during<T>(jobId: string, work: () => Promise<T>): Promise<T> {
    const client = await this.#connected();
    const { rows } = await client.query("SELECT pg_try_advisory_lock($1) AS got", [lockOf(jobId)]);
    if (rows[0].got !== true) throw new Error("another worker is at this job");
    this.#held.add(jobId);
    try {
      return await work();
    } finally {
      this.#held.delete(jobId);
      // A connection that is gone has taken the lock along.
      await client.query("SELECT pg_advisory_unlock($1)", [lockOf(jobId)]).catch(() => undefined);
    }
  }

  /** Gives jobs back whose workers are gone. @returns How many. */
  async giveBackLost(queue: PgBoss): Promise<number> {
    const client = await this.#connected();
    const { rows } = await client.query<{ id: string; name: string; retry_count: number }>(
      `SELECT id, name, retry_count FROM pgboss.job WHERE state = 'active' AND name = ANY($1)
         AND started_on < now() - make_interval(secs => $2)`,
      [QUEUES, TO_GET_HOLD_S],
    );
    let lost = 0;
    for (const { id, name, retry_count } of rows) {
      if (this.#held.has(id)) continue;
      const { rows: tried } = await client.query("SELECT pg_try_advisory_lock($1) AS free", [lockOf(id)]);
      if (tried[0].free !== true) continue;
      // Completed meanwhile, and only then let go?
      const { rows: still } = await client.query(
        "SELECT 1 FROM pgboss.job WHERE id = $1 AND name = $2 AND state = 'active' AND retry_count = $3",
        [id, name, retry_count],
      );
      if (still.length > 0) await queue.fail(name, id, { message: "its worker was lost" });
      await client.query("SELECT pg_advisory_unlock($1)", [lockOf(id)]);
      if (still.length === 0) continue;
      lost++;
    }
    return lost;
  }

  async close(): Promise<void> {
    const client = await this.#client?.catch(() => null);
    this.#client = null;
    await client?.end().catch(() => undefined);
  }

  #connected(): Promise<pg.Client> {
    this.#client ??= this.#connect();
    return this.#client;
  }

  async #connect(): Promise<pg.Client> {
    const client = new pg.Client({
      connectionString: this.#url,
      application_name: `springtide work ${process.pid}`,
      keepAlive: true,
      options: "-c tcp_keepalives_idle=30 -c tcp_keepalives_interval=10 -c tcp_keepalives_count=3",
    });
    const forget = () => {
      this.#client = null;
    };
    client.on("error", forget);
    client.on("end", forget);
    try {
      await client.connect();
    } catch (error) {
      forget();
      throw error;
    }
    return client;
  }
}

/** A job's lock: 60 of its identifier's 122 random bits. */
function lockOf(jobId: string): string {
  return BigInt(`0x${jobId.replaceAll("-", "").slice(-15)}`).toString();
}
