import assert from "node:assert/strict";
import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";
import { readdirSync, readFileSync } from "node:fs";
import { connect, createServer } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as wait } from "node:timers/promises";
import { fileURLToPath } from "node:url";
import pg from "pg";
import { afterAll, beforeAll, describe, it, onTestFinished } from "vitest";
import { scratchFolder } from "../ingest/support/scratch.ts";
import {
  addressOf,
  bringDown,
  bringUp,
  type Cluster,
  removeCluster,
  startCluster,
} from "../support/postgres-cluster.ts";
import { twentyFiles } from "./twenty-files.ts";

const AS_OF = "2026-04-01";
const PROGRAM = fileURLToPath(new URL("../../dashboard/springtide.mjs", import.meta.url));

let cluster: Cluster;
beforeAll(async () => {
  cluster = await startCluster();
});
afterAll(() => removeCluster(cluster));

/** Starts a command of the program, stopped when the test ends. */
function start(...words: readonly string[]): ChildProcess {
  const child = spawn(process.execPath, [PROGRAM, ...words], {
    stdio: ["ignore", "pipe", "pipe"],
    env: { ...process.env, NODE_COMPILE_CACHE: join(tmpdir(), "springtide-compile-cache") },
  });
  onTestFinished(async () => {
    if (child.exitCode !== null || child.signalCode !== null) return;
    child.kill("SIGTERM");
    await once(child, "exit");
  });
  return child;
}

/** Starts a server over the workers of a store. @returns Its address. */
async function startServer(storeUrl: string): Promise<string> {
  const words = ["serve", "--by-workers", "--store", storeUrl, "--as-of", AS_OF, "--port", "0", "--json"];
  const child = start(...words);
  let said = "";
  child.stderr!.on("data", (chunk) => {
    said += chunk;
  });
  const gone = once(child, "exit").then(() => assert.fail(said));
  const [line] = await Promise.race([once(child.stdout!, "data"), gone]);
  return JSON.parse(String(line)).url;
}

/** One address for several servers, connections to each in turn, as a balancer in front of them would. */
async function oneAddressFor(servers: readonly string[]): Promise<string> {
  const ports = servers.map((url) => Number(new URL(url).port));
  let taken = 0;
  const balancer = createServer((near) => {
    const far = connect(ports[taken++ % ports.length]!, "127.0.0.1");
    const end = () => {
      near.destroy();
      far.destroy();
    };
    near.on("error", end).on("close", end);
    far.on("error", end).on("close", end);
    near.pipe(far).pipe(near);
  });
  balancer.listen(0, "127.0.0.1");
  await once(balancer, "listening");
  onTestFinished(() => {
    balancer.close();
  });
  return `http://127.0.0.1:${(balancer.address() as { port: number }).port}/`;
}

async function scratch(name: string): Promise<string> {
  await asked(addressOf(cluster, "postgres"), `CREATE DATABASE ${name}`);
  const url = addressOf(cluster, name);
  const made = start("ingest", "--store", url, join(twentyFiles(scratchFolder()), "units.csv"));
  assert.deepEqual(await once(made, "exit"), [0, null]);
  return url;
}

async function asked<Row extends pg.QueryResultRow>(url: string, text: string): Promise<Row[]> {
  const client = new pg.Client(url);
  await client.connect();
  try {
    return (await client.query<Row>(text)).rows;
  } finally {
    await client.end();
  }
}

/** Asks a page until it says what it should; the connection is not kept, so that each call may meet another server. */
async function until(url: string, holds: (status: number, body: string) => boolean): Promise<string> {
  for (let tries = 0; ; tries++) {
    const answer = await fetch(url, { headers: { connection: "close" } });
    const body = await answer.text();
    if (holds(answer.status, body)) return body;
    assert.ok(tries < 400, `${url} still says ${answer.status}: ${body.slice(0, 500)}`);
    await wait(50);
  }
}

async function looks(url: string): Promise<number> {
  const [row] = await asked<{ n: string }>(url, "SELECT count(*) AS n FROM pgboss.job WHERE name = 'fleet'");
  return Number(row!.n);
}

describe("several servers over one store", () => {
  it("answer as one behind one address, and have each look worked out once", {
    timeout: 120_000,
  }, async () => {
    const store = await scratch("several");
    for (let i = 0; i < 2; i++) start("work", "--store", store);
    const servers = await Promise.all([startServer(store), startServer(store)]);
    const address = await oneAddressFor(servers);

    for (const server of servers) await until(`${server}units?format=json`, (status) => status === 200);
    assert.equal(await looks(store), 1);

    const input = twentyFiles(scratchFolder());
    // Registers first: nothing is known of a lot that comes after its readings.
    for (const file of readdirSync(input).sort().reverse()) {
      const sent = await fetch(`${address}api/intake?name=${file}`, {
        method: "POST",
        body: readFileSync(join(input, file)),
        headers: { connection: "close", "content-type": "text/csv" },
      });
      assert.equal(sent.status, 200, await sent.text());
    }
    const stored = (_: number, body: string) => body.includes('"U-0"') && !body.includes('"last_check":null');
    const [first, second] = await Promise.all(
      servers.map((server) => until(`${server}units?format=json`, stored)),
    );
    assert.equal(first, second);
    assert.equal(await until(`${address}units?format=json`, (status) => status === 200), first);
  });

  it("say so while the database is away, and go on when it is back", { timeout: 120_000 }, async () => {
    const store = await scratch("away");
    start("work", "--store", store);
    const server = await startServer(store);
    await until(`${server}units`, (status) => status === 200);

    await asked(
      store,
      "SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = 'away' AND pid <> pg_backend_pid()",
    );
    await until(`${server}units`, (status) => status === 200);

    await bringDown(cluster, "immediate");
    const body = await until(`${server}intake`, (status) => status === 503);
    assert.match(body, /The records cannot be reached just now/);
    assert.doesNotMatch(body, /postgres|127\.0\.0\.1/i);
    await bringUp(cluster);
    await until(`${server}intake`, (status) => status === 200);
    await until(`${server}units`, (status) => status === 200);
  });
});
