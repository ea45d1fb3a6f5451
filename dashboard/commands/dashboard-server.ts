import type { Store } from "../../ingest/index.ts";
import { createAssessment } from "../assessment/assessment.ts";
import { type RunningServer, startServer } from "../server.ts";
import { DEFAULT_SETTINGS } from "../settings.ts";
import type { CommandContext } from "./context.ts";
import { CommandError } from "./errors.ts";

export interface ListenAt {
  readonly port: number;
  readonly host: string;
}

/** Starts the dashboard of a store. @throws {CommandError} where the address cannot be had. */
export async function startDashboard(
  store: Store,
  asOf: () => string,
  listenAt: ListenAt,
): Promise<RunningServer> {
  const assessment = createAssessment({ store, settings: DEFAULT_SETTINGS, asOf });
  try {
    return await startServer({ assessment, ...listenAt });
  } catch (error) {
    throw new CommandError(whyNotListening(error, listenAt), { cause: error });
  }
}

export async function waitThenClose(context: CommandContext, server: RunningServer): Promise<void> {
  context.say("Stop it with Ctrl+C.");
  await context.untilStopped();
  await server.close();
}

function whyNotListening(error: unknown, { port, host }: ListenAt): string {
  const code = error instanceof Error && "code" in error ? error.code : undefined;
  if (code === "EADDRINUSE") {
    return `port ${port} on ${host} is in use by another program: choose another with --port, or --port 0 for a free one`;
  }
  if (code === "EACCES") return `port ${port} may not be used by this account: choose one from 1024 up with --port`;
  if (code === "EADDRNOTAVAIL" || code === "ENOTFOUND") {
    return `${host} is not an address of this machine: leave --host out to listen on 127.0.0.1`;
  }
  return `the dashboard could not start on ${host}:${port}: ${error instanceof Error ? error.message : String(error)}`;
}
