import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join, relative } from "node:path";
import { Command } from "commander";
import { ingestPaths, openStore, type Store } from "../../ingest/index.ts";
import { isLoopback } from "../accounts/sign-in-settings.ts";
import { isoOfDay } from "../assessment/days.ts";
import { forecastReport } from "../assessment/forecast-report.ts";
import { demoFleet } from "../demo/demo-fleet.ts";
import { writeFleet } from "../demo/fleet-files.ts";
import type { CommandContext } from "./context.ts";
import { CommandError } from "./errors.ts";
import { forecastInWords } from "./forecast-table.ts";
import { reportInWords, showProgress } from "./ingest.ts";
import { addJsonOption, addStoreOption, type JsonOption, type StoreOption } from "./options.ts";
import { type AddressOptions, addAddressOptions, address } from "./serve.ts";

/** A file of its own, so that the demo can never touch anybody's records; made anew each time. */
const DEMO_STORE_FILE = "springtide-demo.sqlite";

const FOR_THIS_MACHINE =
  "the demo asks nobody to sign in and is shown on this machine only: leave --host and HOST out, or serve a store with springtide serve --sign-in";

const ROWS_SHOWN = 15;

interface DemoCommandOptions extends StoreOption, AddressOptions, JsonOption {
  readonly files?: string;
}

/** `springtide demo`: an invented fleet, ingested, ranked and served. */
export function demoCommand(context: CommandContext): Command {
  const command = new Command("demo")
    .description("an invented fleet, ingested, ranked and served; touches no other store")
    .option("--files <FOLDER>", "keep the invented files there, to look at and to try ingest with")
    .action(async (options: DemoCommandOptions) => {
      const listenAt = address(context, options);
      if (!isLoopback(listenAt.host)) throw new CommandError(FOR_THIS_MACHINE);
      const store = await demoStore(options);
      try {
        const asOf = isoOfDay(context.now() / 86_400_000);
        const report = await withDemoFiles(options.files, async (folder) => {
          context.say("Inventing a fleet of nine sites …");
          writeFleet(folder, demoFleet({ asOf }), { forms: "as-sent" });
          return ingestPaths(store, [folder], {
            now: context.now,
            // The folder is gone when the demo ends; a name within it says what came.
            nameOf: (path) => relative(folder, path),
            ...(context.progress && { onProgress: showProgress(context.progress) }),
          });
        });
        const { startDashboard, waitThenClose } = await import("./dashboard-server.ts");
        const dashboard = await startDashboard(store, () => asOf, listenAt);
        context.say("Looking at every unit …");
        const { assessment } = await dashboard.firstLook;
        context.print(
          options.json
            ? `${JSON.stringify({ url: dashboard.url, ingest: report, forecast: forecastReport(assessment, []) })}\n`
            : `${reportInWords(report, { rowsShown: 0 })}\n${forecastInWords(assessment, [], ROWS_SHOWN)}\nSpringtide is at ${dashboard.url}\n`,
        );
        await waitThenClose(context, dashboard);
      } finally {
        await store.close();
      }
    });
  return addJsonOption(
    addAddressOptions(
      addStoreOption(command, `an empty one; else sqlite:${DEMO_STORE_FILE}, made anew each time`),
    ),
  );
}

/** The demo's own file made afresh; a store that the call names only where it is empty. */
async function demoStore({ store: url }: StoreOption): Promise<Store> {
  if (url === undefined) {
    for (const ending of ["", "-wal", "-shm"]) await rm(`${DEMO_STORE_FILE}${ending}`, { force: true });
    return openStore(`sqlite:${DEMO_STORE_FILE}`);
  }
  const store = await openStore(url);
  if ((await store.files()).length === 0) return store;
  await store.close();
  throw new CommandError(
    `${url} already holds data, and invented data must not be mixed into it: name an empty store, or leave --store out`,
  );
}

async function withDemoFiles<T>(kept: string | undefined, use: (folder: string) => Promise<T>): Promise<T> {
  if (kept !== undefined) return use(kept);
  const folder = await mkdtemp(join(tmpdir(), "springtide-demo-"));
  try {
    return await use(folder);
  } finally {
    await rm(folder, { recursive: true });
  }
}
