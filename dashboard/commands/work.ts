import { Command } from "commander";
import { startWork } from "../jobs/work.ts";
import type { CommandContext } from "./context.ts";
import { addStoreOption, type StoreOption, withStore } from "./options.ts";

/** `springtide work`: takes jobs from the queue in a PostgreSQL store until it is told to stop. */
export function workCommand(context: CommandContext): Command {
  const command = new Command("work")
    .description(
      "take work from the queue of a PostgreSQL store: intake and fleet runs, in any number of processes on any number of hosts, until stopped",
    )
    .action((options: StoreOption) =>
      withStore(context, options, "create", async (store) => {
        const work = await startWork({
          store,
          now: context.now,
          say: (line) => context.say(`springtide: ${line}`),
        });
        context.say(`springtide: waiting for work in ${store.shown}`);
        await context.untilStopped();
        await work.stop();
      }),
    );
  return addStoreOption(command);
}
