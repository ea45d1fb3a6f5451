import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import type { Assessment } from "../../../dashboard/assessment/views.ts";
import { startServer } from "../../../dashboard/server.ts";
import { openStore, type Store } from "../../../ingest/index.ts";
import { FixtureServiceDesk } from "./fixture-service.ts";

export interface RunningApp {
  /** Without the slash at its end: paths begin with one. */
  readonly url: string;
  /** What was reported as a defect. */
  readonly reported: unknown[];
  /** Where files go that are sent to it; empty at first. */
  readonly store: Store;
  get(path: string, headers?: Record<string, string>): Promise<Response>;
  stop(): Promise<void>;
}

/** What one request may bring to a running app. */
export const MOST_BYTES = 200_000;

const now = () => Date.parse("2026-04-01T12:00:00Z");

/** The dashboard on a free port of this machine. Redirects are not followed. */
export async function runApp(assessment: Assessment): Promise<RunningApp> {
  const reported: unknown[] = [];
  const folder = mkdtempSync(join(tmpdir(), "springtide-test-"));
  const store = await openStore(`sqlite:${join(folder, "store.sqlite")}`);
  const server = await startServer({
    assessment,
    desk: { store, now, mostBytes: MOST_BYTES },
    service: new FixtureServiceDesk(store, now),
    port: 0,
    host: "127.0.0.1",
    report: (error) => reported.push(error),
  });
  const url = server.url.replace(/\/$/, "");
  return {
    url,
    reported,
    store,
    get: (path, headers = {}) => fetch(url + path, { headers, redirect: "manual" }),
    stop: async () => {
      await server.close();
      await store.close();
      rmSync(folder, { recursive: true, force: true });
    },
  };
}
