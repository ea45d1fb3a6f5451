import { existsSync, statSync } from "node:fs";
import { dirname, resolve } from "node:path";
import { setTimeout as wait } from "node:timers/promises";
import { Command } from "commander";
import { type Store, StoreError } from "../../ingest/index.ts";
import { type TakenFile, WatchedFolder } from "../intake/watched-folder.ts";
import { fileOutcomeText } from "../wording/intake.ts";
import type { CommandContext } from "./context.ts";
import { CommandError, UsageError } from "./errors.ts";
import { addJsonOption, addStoreOption, type JsonOption, type StoreOption, withStore } from "./options.ts";

interface WatchOptions extends StoreOption, JsonOption {
  readonly profile?: string;
  readonly rest: string;
}

const LOOK_EVERY_MS = 500;
const TRY_AGAIN_MS = 10_000;

/** `springtide watch FOLDER`: takes in what is put into a folder, until it is told to stop. */
export function watchCommand(context: CommandContext): Command {
  const command = new Command("watch")
    .description("take in what is put into a folder, as soon as a file is finished; stop it with Ctrl+C")
    .argument(
      "<folder>",
      "files go from it to done/, or to held/ where something is to be seen to, beside a report",
    )
    .option("--profile <FILE>", "how these files' columns, units and dates map onto ours")
    .option("--rest <SECONDS>", "how long a file must have kept its size before it counts as finished", "2")
    .action(async (folder: string, options: WatchOptions) => {
      const restMs = 1000 * secondsOf(options.rest);
      if (!existsSync(folder) || !statSync(folder).isDirectory()) {
        throw new CommandError(`there is no folder ${folder}`);
      }
      await withStore(context, options, "create", async (store) => {
        refuseStoreWithin(folder, store);
        const { now } = context;
        const watched = new WatchedFolder({ store, folder, now, restMs, profile: options.profile });
        const stop = new AbortController();
        const stopped = context.untilStopped().then(() => {
          stop.abort();
          context.say("Stopping when the files in hand are done.");
        });
        context.say(`Watching ${folder}. Stop it with Ctrl+C.`);
        let said = "";
        while (!stop.signal.aborted) {
          try {
            for (const taken of await watched.look()) tell(context, options, taken);
            said = "";
          } catch (error) {
            // The files are back where they were: once the store can be written again, they are taken in.
            if (!(error instanceof StoreError)) throw error;
            if (error.message !== said) context.say(`springtide: ${error.message}`);
            said = error.message;
          }
          await wait(said === "" ? LOOK_EVERY_MS : TRY_AGAIN_MS, undefined, { signal: stop.signal }).catch(
            () => undefined,
          );
        }
        await stopped;
      });
    });
  return addJsonOption(addStoreOption(command));
}

/** One line a file; with `--json`, one document a line. */
function tell(context: CommandContext, { json }: JsonOption, { report, movedTo }: TakenFile): void {
  if (json) context.print(`${JSON.stringify({ ...report, moved_to: movedTo })}\n`);
  else context.print(`${fileOutcomeText(report)} Now at ${movedTo}\n`);
}

/** A store in the watched folder would be taken for a file that came. */
function refuseStoreWithin(folder: string, { location }: Store): void {
  const file = resolve(location.replace(/^sqlite:/, ""));
  if (dirname(file) !== resolve(folder)) return;
  throw new CommandError(
    `the store ${location} lies in the watched folder: name another folder, or another store`,
  );
}

function secondsOf(text: string): number {
  const seconds = Number(text);
  if (text.trim() !== "" && seconds >= 0 && seconds <= 86_400) return seconds;
  throw new UsageError(`--rest takes a number of seconds, got "${text}"`);
}
