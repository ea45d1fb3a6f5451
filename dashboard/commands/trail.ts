import { Command } from "commander";
import { proveTrail, type Store, type TrailEntry, type TrailFilter } from "../../ingest/index.ts";
import { entryReport, minuteOf } from "../page-models/trail.ts";
import { actionText, faultText, proofText } from "../wording/trail.ts";
import type { CommandContext } from "./context.ts";
import { CommandError, UsageError } from "./errors.ts";
import {
  addJsonOption,
  addStoreOption,
  isoDate,
  type JsonOption,
  type StoreOption,
  withStore,
} from "./options.ts";
import { textTable } from "./text-table.ts";

type Options = StoreOption & JsonOption;

interface ListOptions extends Options {
  readonly since?: string;
  readonly who?: string;
  readonly about?: string;
}

interface VerifyOptions extends Options {
  readonly against?: string;
}

const AT_ONCE = 5000;

/** `springtide trail`: every change of the store, and whether the record of them is whole. */
export function trailCommand(context: CommandContext): Command {
  const command = new Command("trail").description(
    "every change of the store, with who, when and what before and after; entries are chained, so that tampering shows",
  );

  addJsonOption(addStoreOption(command.command("list", { isDefault: true })))
    .description("the entries, the newest last")
    .option("--since <DATE>", "only from this day on, UTC")
    .option("--who <NAME>", "only what this person did")
    .option("--about <NAME>", "only what is about this unit, file or person")
    .action((options: ListOptions) => list(context, options));

  addJsonOption(addStoreOption(command.command("verify")))
    .description("follow the whole chain, and print the last entry's hash")
    .option("--against <HASH>", "a hash that was written down earlier: it must still be in the chain")
    .action((options: VerifyOptions) => verify(context, options));
  return command;
}

async function list(context: CommandContext, options: ListOptions): Promise<void> {
  const { since, who, about } = options;
  const sinceMs = since === undefined ? undefined : Date.parse(isoDate("--since", since));
  const entries = await withStore(context, options, "existing", (store) =>
    allOf(store, { who, about, sinceMs }),
  );
  if (options.json) {
    context.print(`${JSON.stringify({ entries: entries.map(entryReport) })}\n`);
    return;
  }
  if (entries.length === 0) {
    context.print("There are no such entries.\n");
    return;
  }
  context.print(
    textTable(
      [">number", "when, UTC", "who", "by", "what", "about", "site"],
      entries.map((entry) => [
        String(entry.number),
        minuteOf(entry.atMs),
        entry.who,
        entry.way,
        actionText(entry.action),
        entry.about,
        entry.site ?? "",
      ]),
    ),
  );
}

async function allOf({ trail }: Store, filter: TrailFilter): Promise<TrailEntry[]> {
  const entries: TrailEntry[] = [];
  for (;;) {
    const after = entries.at(-1)?.number;
    const part = await trail.list({ ...filter, after }, { offset: 0, limit: AT_ONCE });
    entries.push(...part);
    if (part.length < AT_ONCE) return entries;
  }
}

async function verify(context: CommandContext, options: VerifyOptions): Promise<void> {
  const against = options.against?.trim().toLowerCase();
  if (against !== undefined && !/^[0-9a-f]{64}$/.test(against)) {
    throw new UsageError(
      "--against takes the 64 digits and letters that springtide trail verify printed earlier",
    );
  }
  const { proof, ends } = await withStore(context, options, "existing", async ({ trail }) => {
    const [first] = await trail.list({}, { offset: 0, limit: 1 });
    const [last] = await trail.list({}, { offset: 0, limit: 1, newestFirst: true });
    return {
      proof: await proveTrail(trail, against),
      ends: first === undefined || last === undefined ? null : { first, last },
    };
  });
  const fault = faultText(proof);
  if (options.json) {
    const { entries, head, brokenAt, holdsGiven } = proof;
    context.print(
      `${JSON.stringify({ entries, head, broken_at: brokenAt, holds_given: holdsGiven, whole: fault === null })}\n`,
    );
  }
  if (fault !== null) throw new CommandError(fault);
  if (!options.json) context.print(proofText(proof, ends));
}
