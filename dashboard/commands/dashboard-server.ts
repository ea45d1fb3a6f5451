import type { Store } from "../../ingest/index.ts";
import { frontDoor } from "../accounts/front-door.ts";
import type { SignInSettings } from "../accounts/sign-in-settings.ts";
import { createAssessment } from "../assessment/assessment.ts";
import { endWorkers } from "../assessment/in-worker.ts";
import { ServiceDesk } from "../assessment/service-desk.ts";
import type { FleetView } from "../assessment/views.ts";
import { MOST_BYTES } from "../intake/desk.ts";
import type { Crew } from "../jobs/by-workers.ts";
import { keepNoticing } from "../notices/keep-noticing.ts";
import type { NoticeSettings } from "../notices/notice-settings.ts";
import type { ServerLog } from "../running/log.ts";
import { type RunningServer, startServer } from "../server.ts";
import type { CommandContext } from "./context.ts";

export interface ListenAt {
  readonly port: number;
  readonly host: string;
}

export interface Dashboard extends RunningServer {
  /** The first look at the whole fleet, under way since the start, so that the first reader need not wait for it. */
  readonly firstLook: Promise<FleetView>;
}

export interface DashboardOptions {
  /** The workers that it leaves the long work to; left out: it does all itself. */
  readonly crew?: Crew | undefined;
  /** How people sign in; null: nobody is asked to. */
  readonly signIn?: SignInSettings | null;
  readonly log?: ServerLog;
  /** How notices are sent; left out: by others, as where the server shows an earlier day. */
  readonly notices?: { readonly settings: NoticeSettings; readonly say: (line: string) => void } | undefined;
}

/**
 * Starts the dashboard of a store.
 *
 * @throws {CommandError} where the address cannot be had.
 */
export async function startDashboard(
  store: Store,
  asOf: () => string,
  listenAt: ListenAt,
  { crew, signIn = null, log = null, notices }: DashboardOptions = {},
): Promise<Dashboard> {
  const report = (error: unknown) => (log === null ? console.error(error) : log.error(error, "failed"));
  const assessment = createAssessment({ store, asOf, lookAtFleet: crew?.lookAtFleet, report });
  const service = new ServiceDesk(store, () => assessment.service(), Date.now);
  const desk = { store, now: Date.now, mostBytes: MOST_BYTES, takeIn: crew?.takeIn };
  const { accounts } = store;
  const door =
    signIn === null
      ? undefined
      : frontDoor({ settings: signIn, accounts, sites: () => sitesOf(store), now: Date.now });
  const server = await startServer({ assessment, desk, service, door, log, report, ...listenAt });
  const noticing = notices && keepNoticing({ store, assessment, ...notices, now: Date.now });
  const close = async (): Promise<void> => {
    await noticing?.stop();
    await server.close();
  };
  return { ...server, close, firstLook: assessment.current() };
}

/** Sites that units are registered at, in order. */
async function sitesOf(store: Store): Promise<string[]> {
  const sites = (await store.instruments()).flatMap(({ site }) => site ?? []);
  return [...new Set(sites)].sort();
}

/** Waits until the user stops the program; a look that is still under way is left. */
export async function waitThenClose(context: CommandContext, dashboard: Dashboard): Promise<void> {
  let stopping = false;
  dashboard.firstLook.catch((error: Error) => {
    if (!stopping) context.say(`springtide: ${error.message}`);
  });
  context.say("Stop it with Ctrl+C.");
  await context.untilStopped();
  stopping = true;
  await endWorkers();
  await dashboard.close();
}
