import type { Assessment } from "../../../dashboard/assessment/views.ts";
import { startServer } from "../../../dashboard/server.ts";

export interface RunningApp {
  /** Without the slash at its end: paths begin with one. */
  readonly url: string;
  /** What was reported as a defect. */
  readonly reported: unknown[];
  get(path: string, headers?: Record<string, string>): Promise<Response>;
  stop(): Promise<void>;
}

/** The dashboard on a free port of this machine. Redirects are not followed. */
export async function runApp(assessment: Assessment): Promise<RunningApp> {
  const reported: unknown[] = [];
  const server = await startServer({
    assessment,
    port: 0,
    host: "127.0.0.1",
    report: (error) => reported.push(error),
  });
  const url = server.url.replace(/\/$/, "");
  return {
    url,
    reported,
    get: (path, headers = {}) => fetch(url + path, { headers, redirect: "manual" }),
    stop: () => server.close(),
  };
}
