import pg from "pg";
import { onTestFinished } from "vitest";
import { addressOf } from "./postgres-cluster.ts";
import { sharedCluster } from "./shared-cluster.ts";

/** A new, empty database for one test, removed after it. @returns Its address. */
export async function scratchDatabase(): Promise<string> {
  const { port } = await sharedCluster();
  const name = `scratch_${process.pid}_${++made}`;
  await asked(port, `CREATE DATABASE ${name} STRATEGY file_copy`);
  onTestFinished(() => asked(port, `DROP DATABASE ${name} WITH (FORCE)`));
  return addressOf({ port }, name);
}

let made = 0;

async function asked(port: number, statement: string): Promise<void> {
  const client = new pg.Client(addressOf({ port }, "postgres"));
  await client.connect();
  try {
    await client.query(statement);
  } finally {
    await client.end();
  }
}
