import type { Store } from "../../ingest/index.ts";
import { frontDoor } from "../accounts/front-door.ts";
import type { SignInSettings } from "../accounts/sign-in-settings.ts";
import { createAssessment } from "../assessment/assessment.ts";
import { ServiceDesk } from "../assessment/service-desk.ts";
import type { FleetView } from "../assessment/views.ts";
import { MOST_BYTES } from "../intake/desk.ts";
import type { Crew } from "../jobs/by-workers.ts";
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

/**
 * Starts the dashboard of a store.
 *
 * @param crew The workers that it leaves the long work to; left out: it does all itself.
 * @param signIn How people sign in; null: nobody is asked to.
 * @throws {CommandError} where the address cannot be had.
 */
export async function startDashboard(
  store: Store,
  asOf: () => string,
  listenAt: ListenAt,
  { crew, signIn = null }: { readonly crew?: Crew | undefined; readonly signIn?: SignInSettings | null } = {},
): Promise<Dashboard> {
  const assessment = createAssessment({ store, asOf, lookAtFleet: crew?.lookAtFleet });
  const service = new ServiceDesk(store, assessment, Date.now);
  const desk = { store, now: Date.now, mostBytes: MOST_BYTES, takeIn: crew?.takeIn };
  const { accounts } = store;
  const door =
    signIn === null
      ? undefined
      : frontDoor({ settings: signIn, accounts, sites: () => sitesOf(store), now: Date.now });
  const server = await startServer({ assessment, desk, service, door, ...listenAt });
  return { ...server, firstLook: assessment.current() };
}

/** Sites that units are registered at, in order. */
async function sitesOf(store: Store): Promise<string[]> {
  const sites = (await store.instruments()).flatMap(({ site }) => site ?? []);
  return [...new Set(sites)].sort();
}

/** Waits until the user stops the program, then for the look that is still under way: it reads the store. */
export async function waitThenClose(context: CommandContext, dashboard: Dashboard): Promise<void> {
  dashboard.firstLook.catch((error: Error) => context.say(`springtide: ${error.message}`));
  context.say("Stop it with Ctrl+C.");
  await context.untilStopped();
  await dashboard.close();
}
