import { Command, Option } from "commander";
import {
  type Acting,
  dismiss,
  HELD_STATES,
  type HeldDecision,
  type HeldFilter,
  type HeldRow,
  type HeldState,
  type Mend,
  REASONS,
  type Reason,
  reread,
  type Store,
} from "../../ingest/index.ts";
import { decisionReport, heldReport, standsAgainst } from "../intake/held-report.ts";
import {
  HELD_CAUTION,
  heldDecisionText,
  heldHeadline,
  heldPlaceText,
  heldStateText,
  releasedText,
} from "../wording/held.ts";
import { counted } from "../wording/numbers.ts";
import type { CommandContext } from "./context.ts";
import { CommandError, UsageError } from "./errors.ts";
import { addJsonOption, addStoreOption, type JsonOption, type StoreOption, withStore } from "./options.ts";
import { personName } from "./person-name.ts";
import { textTable } from "./text-table.ts";

type Options = StoreOption & JsonOption;

interface FilterOptions extends Options {
  readonly site?: string;
  readonly file?: string;
  readonly reason?: Reason;
  readonly unit?: string;
}

interface ListOptions extends FilterOptions {
  readonly state?: HeldState | "any";
}

interface ActOptions extends FilterOptions {
  readonly by?: string;
  readonly why: string;
}

interface MendOptions extends ActOptions {
  readonly set?: readonly string[];
  readonly row?: string;
}

interface ReleaseOptions extends ActOptions {
  readonly replace?: true;
}

/** `springtide held`: rows that were held back, looked through, mended, let in or dismissed; all stays on record. */
export function heldCommand(context: CommandContext): Command {
  const command = new Command("held").description(
    "rows that were held back: look through them, mend, release or dismiss them; all stays on record",
  );

  addFilters(addJsonOption(addStoreOption(command.command("list", { isDefault: true }))))
    .description("the rows, the latest first")
    .addOption(
      new Option("--state <STATE>", "what became of them").choices([...HELD_STATES, "any"]).default("held"),
    )
    .action((options: ListOptions) => list(context, options));

  addJsonOption(addStoreOption(command.command("show")))
    .description("one row in full, field by field, with what was done about it")
    .argument("<number>", "as springtide held has it")
    .action((number: string, options: Options) => show(context, number, options));

  addWhy(command.command("mend"))
    .description(
      "give new values, kept beside the old; the row goes through the same checks, and is in use if it passes",
    )
    .argument("<number>", "as springtide held has it")
    .option(
      "--set <COLUMN=VALUE...>",
      "new values, written as in the file: its units, decimal mark and dates",
    )
    .option("--row <TEXT>", "the whole row anew, for one that could not be split")
    .action((number: string, options: MendOptions) => mend(context, number, options));

  addFilters(addWhy(command.command("release")))
    .description("read rows again by the same checks and by what is known now; those that pass are in use")
    .argument("[numbers...]", "as springtide held has them; else all that the filters leave")
    .option("--replace", "where a row contradicts a stored reading, it takes that reading's place")
    .action((numbers: string[], options: ReleaseOptions) => release(context, numbers, options));

  addFilters(addWhy(command.command("dismiss")))
    .description("settle rows as not to be used")
    .argument("[numbers...]", "as springtide held has them; else all that the filters leave")
    .action((numbers: string[], options: ActOptions) => dismissAll(context, numbers, options));
  return command;
}

function addFilters(command: Command): Command {
  return command
    .option("--site <NAME>", "of one site")
    .option("--file <NAME>", "of one file, by its name or its path")
    .option("--unit <INSTRUMENT>", "of one unit")
    .addOption(new Option("--reason <CODE>", "for one reason").choices(REASONS));
}

function addWhy(command: Command): Command {
  return addJsonOption(addStoreOption(command))
    .requiredOption("--why <TEXT>", "the reason, for whoever reads it later")
    .option("--by <NAME>", "who decides so (default: the account's name)");
}

async function list(context: CommandContext, options: ListOptions): Promise<void> {
  const rows = await withStore(context, options, "existing", async (store) =>
    store.held.list(await filterOf(store, options, options.state === "any" ? undefined : options.state)),
  );
  if (options.json) {
    context.print(`${JSON.stringify({ held: rows.map(heldReport) })}\n`);
    return;
  }
  const headline = options.state === "held" ? heldHeadline(rows.length) : counted(rows.length, "row");
  const table = textTable(
    [">number", "site", "unit", "where", "reason", "what stands against it"],
    rows.map((row) => [
      String(row.id),
      row.site ?? "",
      row.instrument ?? "",
      heldPlaceText(row),
      standsAgainst(row)?.reason ?? row.reason,
      standsAgainst(row)?.message ?? heldStateText(row.state),
    ]),
  );
  context.print(rows.length === 0 ? `${headline}\n` : `${headline}\n\n${table}`);
}

async function show(context: CommandContext, number: string, options: Options): Promise<void> {
  const row = await withStore(context, options, "existing", (store) => rowMeant(store, number));
  const report = heldReport(row);
  if (options.json) {
    context.print(`${JSON.stringify(report)}\n`);
    return;
  }
  const lines = [
    `Row ${row.id}: ${heldPlaceText(row)}; ${heldStateText(row.state)}.`,
    row.message,
    ...row.decisions.map(heldDecisionText),
    "",
    row.raw,
    "",
  ];
  const fields = textTable(
    ["column", "in the file as", "old", "new"],
    report.fields.map(({ column, header, before, mended }) => [
      column,
      header ?? "",
      before ?? "",
      mended ?? "",
    ]),
  );
  context.print(`${lines.join("\n")}${fields}\n${HELD_CAUTION}\n`);
}

async function mend(context: CommandContext, number: string, options: MendOptions): Promise<void> {
  const given = mendOf(options);
  const acting = actingOf(context, options);
  const { row, decision } = await withStore(context, options, "existing", async (store) => {
    const meant = await rowMeant(store, number);
    return { row: meant, decision: await reread(store, meant, "mended", given, acting) };
  });
  tell(context, options, [{ row, decision }]);
}

async function release(context: CommandContext, numbers: string[], options: ReleaseOptions): Promise<void> {
  const acting = actingOf(context, options);
  const action = options.replace ? "replaced" : "released";
  const done = await withStore(context, options, "existing", (store) =>
    each(store, numbers, options, (row) => reread(store, row, action, null, acting)),
  );
  tell(context, options, done);
}

async function dismissAll(context: CommandContext, numbers: string[], options: ActOptions): Promise<void> {
  const acting = actingOf(context, options);
  const done = await withStore(context, options, "existing", (store) =>
    each(store, numbers, options, (row) => dismiss(store, row, acting)),
  );
  if (options.json) return tell(context, options, done);
  context.print(
    `${counted(done.length, "row")} dismissed; ${done.length === 1 ? "it stays" : "they stay"} on record.\n`,
  );
}

interface Done {
  readonly row: HeldRow;
  readonly decision: HeldDecision;
}

/** Exit code 1 where a row is still held. */
function tell(context: CommandContext, options: Options, done: readonly Done[]): void {
  const still = done.filter(({ decision }) => decision.outcome === "held");
  if (still.length > 0) context.exitCode = 1;
  if (options.json) {
    const rows = done.map(({ row, decision }) => ({ number: row.id, ...decisionReport(decision) }));
    context.print(`${JSON.stringify({ rows })}\n`);
  } else {
    context.print(`${releasedText(done.length - still.length, still.length)}\n`);
  }
  for (const { row, decision } of still) {
    context.say(`springtide: row ${row.id} stays held back: ${decision.message}`);
  }
}

async function each(
  store: Store,
  numbers: readonly string[],
  options: FilterOptions,
  act: (row: HeldRow) => Promise<HeldDecision>,
): Promise<Done[]> {
  const { site, file, unit, reason } = options;
  const isFiltered = [site, file, unit, reason].some((given) => given !== undefined);
  if (numbers.length > 0 === isFiltered) {
    throw new UsageError("name rows by their numbers, or say which by --site, --file, --unit or --reason");
  }
  const rows: HeldRow[] = [];
  for (const number of numbers) rows.push(await rowMeant(store, number));
  if (isFiltered) rows.push(...(await store.held.list(await filterOf(store, options, "held"))));
  const done: Done[] = [];
  for (const row of rows) done.push({ row, decision: await act(row) });
  return done;
}

async function filterOf(
  store: Store,
  { site, file, reason, unit }: FilterOptions,
  state: HeldState | undefined,
): Promise<HeldFilter> {
  return {
    state,
    site,
    reason,
    instrument: unit,
    file: file === undefined ? undefined : await fileMeant(store, file),
  };
}

/** A file by its path, or by its name where that is enough. */
async function fileMeant(store: Store, name: string): Promise<string> {
  const paths = (await store.held.count({})).byFile.map((count) => count.name ?? "");
  const meant = paths.includes(name) ? [name] : paths.filter((path) => path.split(/[\\/]/).at(-1) === name);
  if (meant.length > 1)
    throw new CommandError(`several files are called ${name}: name one of ${meant.join(", ")}`);
  return meant[0] ?? name;
}

async function rowMeant(store: Store, number: string): Promise<HeldRow> {
  const row = /^\d{1,15}$/.test(number) ? await store.held.find(Number(number)) : null;
  if (row === null) throw new CommandError(`there is no held row ${number}: springtide held lists them`);
  return row;
}

function mendOf({ set = [], row }: MendOptions): Mend {
  if (set.length > 0 === (row !== undefined)) {
    throw new UsageError("say what is new with --set COLUMN=VALUE, or give the whole row with --row TEXT");
  }
  if (row !== undefined) return { row };
  const values: Record<string, string> = {};
  for (const pair of set) {
    const at = pair.indexOf("=");
    if (at < 1) throw new UsageError(`--set takes COLUMN=VALUE, got "${pair}"`);
    values[pair.slice(0, at).trim()] = pair.slice(at + 1).trim();
  }
  return { values };
}

function actingOf(context: CommandContext, options: ActOptions): Acting {
  const why = options.why.trim();
  if (why === "") throw new UsageError("--why takes the reason, and it must not be empty");
  return { by: personName(options.by), why, nowMs: context.now(), sites: null };
}
