import { Command } from "commander";
import type { Store } from "../../ingest/index.ts";
import { administers } from "../accounts/people.ts";
import { readSignIn, type SignInOptions } from "../accounts/sign-in-settings.ts";
import type { Crew } from "../jobs/by-workers.ts";
import { readNoticeSettings } from "../notices/notice-settings.ts";
import type { ServerLog } from "../running/log.ts";
import type { CommandContext } from "./context.ts";
import type { ListenAt } from "./dashboard-server.ts";
import { CommandError, UsageError } from "./errors.ts";
import {
  type AsOfOption,
  addAsOfOption,
  addJsonOption,
  addStoreOption,
  asOfDay,
  byWorkersOption,
  type JsonOption,
  portNumber,
  type StoreOption,
  withStore,
} from "./options.ts";

export interface AddressOptions {
  readonly port?: string;
  readonly host?: string;
}

interface ServeOptions extends AddressOptions, SignInOptions, StoreOption, AsOfOption, JsonOption {
  readonly byWorkers?: true;
  readonly log?: string;
}

/** `springtide serve`: the dashboard, until it is told to stop. */
export function serveCommand(context: CommandContext): Command {
  const command = new Command("serve")
    .description("the dashboard, on 127.0.0.1 unless told otherwise")
    .action(async (options: ServeOptions) => {
      const listenAt = address(context, options);
      const signIn = readSignIn(context.env, options, listenAt.host);
      // A server left open over midnight moves on to the new day, unless it was told one.
      const asOf = () => asOfDay(context, options);
      asOf();
      const settings = readNoticeSettings(context.env);
      // Of an earlier day nobody is told as of news.
      const notices =
        options.asOf === undefined
          ? { settings, say: (line: string) => context.say(`springtide: ${line}`) }
          : undefined;
      await withStore(context, options, "existing", async (store) => {
        if (signIn !== null) await someoneAdministers(store);
        // Loaded only here: the pages and their charts take a second that no other command should wait for.
        const { startDashboard, waitThenClose } = await import("./dashboard-server.ts");
        const log = await logOf(context, options);
        const crew = options.byWorkers ? await crewOf(context, store) : undefined;
        const dashboard = await startDashboard(store, asOf, listenAt, { crew, signIn, log, notices });
        context.print(
          options.json
            ? `${JSON.stringify({ url: dashboard.url })}\n`
            : `Springtide is at ${dashboard.url}\n`,
        );
        await waitThenClose(context, dashboard);
        await crew?.close();
      });
    })
    .addOption(byWorkersOption())
    .option(
      "--log <FORM>",
      "json: a line for every answer on standard error (or SPRINGTIDE_LOG); else failures only",
    )
    .option("--sign-in", "ask everybody to sign in (or SPRINGTIDE_SIGN_IN=1); needed on any other address")
    .option(
      "--public-address <URL>",
      "https://… of the server that stands before this one (or SPRINGTIDE_PUBLIC_ADDRESS)",
    )
    .option(
      "--proxies <N>",
      "how many servers stand before this one (or SPRINGTIDE_PROXIES; else 1 with --public-address)",
    );
  return addJsonOption(addAddressOptions(addAsOfOption(addStoreOption(command))));
}

async function logOf(context: CommandContext, { log }: ServeOptions): Promise<ServerLog> {
  const form = log ?? (context.env.SPRINGTIDE_LOG || null);
  if (form === null) return null;
  if (form !== "json") throw new UsageError(`--log takes json and not "${form}"`);
  const { openLog } = await import("../running/log.ts");
  return openLog();
}

async function someoneAdministers({ accounts }: Store): Promise<void> {
  if ((await accounts.list()).some(administers)) return;
  throw new CommandError(
    "nobody could look after people yet: add an administrator first, with springtide people add NAME --role administrator --all-sites",
  );
}

async function crewOf(context: CommandContext, store: Store): Promise<Crew> {
  const { openCrew } = await import("../jobs/by-workers.ts");
  return openCrew(store, (error) =>
    context.say(`springtide: the job queue does not answer: ${error.message.replace(/\s+/g, " ")}`),
  );
}

const DEFAULT_PORT = "4780";

export function addAddressOptions(command: Command): Command {
  return command
    .option(
      "--port <N>",
      `where to listen (or PORT in the environment; else ${DEFAULT_PORT}); 0 takes a free one`,
    )
    .option("--host <H>", "address to listen on (or HOST in the environment; else 127.0.0.1)");
}

export function address(context: CommandContext, options: AddressOptions): ListenAt {
  const [name, port] =
    options.port !== undefined ? ["--port", options.port] : ["PORT", context.env.PORT || DEFAULT_PORT];
  return { port: portNumber(name, port), host: options.host ?? (context.env.HOST || "127.0.0.1") };
}
