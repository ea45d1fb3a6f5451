import { extname } from "node:path";
import { Command } from "commander";
import { backUp, type Restored, restore, StoreError, type TrailProof } from "../../ingest/index.ts";
import { counted } from "../wording/numbers.ts";
import { faultText } from "../wording/trail.ts";
import type { CommandContext } from "./context.ts";
import { CommandError } from "./errors.ts";
import { addJsonOption, addStoreOption, type JsonOption, type StoreOption, withStore } from "./options.ts";

type Options = StoreOption & JsonOption;

interface BackupOptions extends Options {
  readonly force?: true;
}

interface RestoreOptions extends Options {
  readonly inPlace?: true;
}

/** `springtide backup FILE`: everything that the store holds at one moment, while it is in use. */
export function backupCommand(context: CommandContext): Command {
  const command = new Command("backup")
    .description(
      "everything that the store holds at one moment into one file, while it is in use; the file is checked before it has its name",
    )
    .argument("<file>", "the backup, of a store of either kind; its SHA-256 goes into FILE.sha256")
    .option("--force", "in place of a file that is there already")
    .action((file: string, options: BackupOptions) => back(context, file, options));
  return addJsonOption(addStoreOption(command));
}

/** `springtide restore FILE`: a backup into a store of either kind. */
export function restoreCommand(context: CommandContext): Command {
  const command = new Command("restore")
    .description("a backup into an empty store of either kind, or in place of what the store holds")
    .argument("<file>", "what springtide backup wrote")
    .option(
      "--in-place",
      "in place of what the store holds, which is backed up beside the backup first; servers may stay on",
    )
    .action((file: string, options: RestoreOptions) => bring(context, file, options));
  return addJsonOption(addStoreOption(command));
}

async function back(context: CommandContext, file: string, options: BackupOptions): Promise<void> {
  const done = await withStore(context, options, "existing", (store) =>
    backUp(store, file, { replace: options.force === true, onTable: passing(context) }),
  );
  const { sha256, trail } = done;
  const rows = rowsOf(done);
  context.print(
    options.json
      ? `${JSON.stringify({ file, rows, sha256, trail: { entries: trail.entries, head: trail.head } })}\n`
      : `${file}: ${counted(rows, "row")}, each compared; ${counted(trail.entries, "entry", "entries")} on the trail.\nSHA-256 ${sha256}\n`,
  );
  tellFault(context, trail, "it is backed up as it is");
}

async function bring(context: CommandContext, file: string, options: RestoreOptions): Promise<void> {
  const done = await withStore(context, options, options.inPlace ? "existing" : "create", (store) =>
    restore(file, store, {
      keepAs: options.inPlace ? keptName(file, context.now()) : null,
      onTable: passing(context),
    }),
  ).catch((error: unknown) => {
    if (!(error instanceof StoreError) || error.code !== "store-not-empty") throw error;
    throw new CommandError(
      "the store holds something already: name an empty one, or say --in-place to have it backed up and replaced",
    );
  });
  const { kept, sha256, hadDigest, trail } = done;
  const rows = rowsOf(done);
  if (options.json) {
    const report = { file, rows, sha256, had_digest: hadDigest, kept_as: kept?.file ?? null };
    context.print(`${JSON.stringify({ ...report, trail: { entries: trail.entries, head: trail.head } })}\n`);
  } else context.print(restoredText(file, done, rows));
  tellFault(context, trail, "it is restored as it is");
}

function restoredText(file: string, { kept, hadDigest }: Restored, rows: number): string {
  return [
    `${counted(rows, "row")} from ${file} restored, each compared.`,
    ...(kept === null ? [] : [`What the store held before is in ${kept.file}.`]),
    ...(hadDigest ? [] : [`No SHA-256 stands beside ${file}: whether it is as it was written is not known.`]),
    "Sessions and tokens are in no backup: people sign in anew, and programs need new tokens.",
    "",
  ].join("\n");
}

/** Beside the backup: a store in a server has no place of its own for files. */
function keptName(file: string, nowMs: number): string {
  const ending = extname(file);
  const stamp = new Date(nowMs).toISOString().slice(0, 19).replaceAll(/[-:]/g, "");
  return `${file.slice(0, file.length - ending.length)}-before-restore-${stamp}Z${ending}`;
}

function rowsOf({ tables }: Pick<Restored, "tables">): number {
  return tables.reduce((sum, { rows }) => sum + rows, 0);
}

function passing({ progress }: CommandContext) {
  return ({ table, rows }: { readonly table: string; readonly rows: number }) =>
    progress?.(`${table}: ${counted(rows, "row")}, all the same`);
}

/** A broken trail stops no backup, but must not go unsaid. */
function tellFault(context: CommandContext, trail: TrailProof, what: string): void {
  const fault = faultText(trail);
  if (fault === null) return;
  context.say(`springtide: ${fault}; ${what}`);
  context.exitCode = 1;
}
