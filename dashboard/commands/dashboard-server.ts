import type { Store } from "../../ingest/index.ts";
import { createAssessment } from "../assessment/assessment.ts";
import { type RunningServer, startServer } from "../server.ts";
import { DEFAULT_SETTINGS } from "../settings.ts";
import type { CommandContext } from "./context.ts";

export interface ListenAt {
  readonly port: number;
  readonly host: string;
}

/** Starts the dashboard of a store. @throws {CommandError} where the address cannot be had. */
export function startDashboard(store: Store, asOf: () => string, listenAt: ListenAt): Promise<RunningServer> {
  const assessment = createAssessment({ store, settings: DEFAULT_SETTINGS, asOf });
  return startServer({ assessment, ...listenAt });
}

export async function waitThenClose(context: CommandContext, server: RunningServer): Promise<void> {
  context.say("Stop it with Ctrl+C.");
  await context.untilStopped();
  await server.close();
}
