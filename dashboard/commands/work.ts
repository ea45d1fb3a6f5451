import { Command } from "commander";
import { createAssessment } from "../assessment/assessment.ts";
import { isoOfDay } from "../assessment/days.ts";
import { openCrew } from "../jobs/by-workers.ts";
import { startWork } from "../jobs/work.ts";
import { keepNoticing } from "../notices/keep-noticing.ts";
import { readNoticeSettings } from "../notices/notice-settings.ts";
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
        const { now } = context;
        const say = (line: string) => context.say(`springtide: ${line}`);
        const settings = readNoticeSettings(context.env);
        const work = await startWork({ store, now, say });
        // Looks for the notices are shared among the workers as every other; the queue's troubles are told above.
        const { lookAtFleet, close } = await openCrew(store, () => undefined);
        const asOf = () => isoOfDay(now() / 86_400_000);
        const assessment = createAssessment({ store, asOf, lookAtFleet });
        const notices = keepNoticing({ store, assessment, settings, now, say });
        context.say(`springtide: waiting for work in ${store.shown}`);
        await context.untilStopped();
        await close();
        await notices.stop();
        await work.stop();
      }),
    );
  return addStoreOption(command);
}
