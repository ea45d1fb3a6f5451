import { Command } from "commander";
import type { CommandContext } from "./context.ts";
import type { ListenAt } from "./dashboard-server.ts";
import {
  type AsOfOption,
  addAsOfOption,
  addJsonOption,
  addStoreOption,
  asOfDay,
  type JsonOption,
  portNumber,
  type StoreOption,
  withStore,
} from "./options.ts";

export interface AddressOptions {
  readonly port?: string;
  readonly host?: string;
}

type ServeOptions = AddressOptions & StoreOption & AsOfOption & JsonOption;

/** `springtide serve`: the dashboard, until it is told to stop. */
export function serveCommand(context: CommandContext): Command {
  const command = new Command("serve")
    .description("the dashboard, on 127.0.0.1 unless told otherwise")
    .action(async (options: ServeOptions) => {
      const listenAt = address(context, options);
      // A server left open over midnight moves on to the new day, unless it was told one.
      const asOf = () => asOfDay(context, options);
      asOf();
      await withStore(context, options, "existing", async (store) => {
        // Loaded only here: the pages and their charts take a second that no other command should wait for.
        const { startDashboard, waitThenClose } = await import("./dashboard-server.ts");
        const dashboard = await startDashboard(store, asOf, listenAt);
        context.print(
          options.json
            ? `${JSON.stringify({ url: dashboard.url })}\n`
            : `Springtide is at ${dashboard.url}\n`,
        );
        await waitThenClose(context, dashboard);
      });
    });
  return addJsonOption(addAddressOptions(addAsOfOption(addStoreOption(command))));
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
