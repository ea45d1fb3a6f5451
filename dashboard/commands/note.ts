import { Command } from "commander";
import type { Judgement, Store } from "../../ingest/index.ts";
import { isoOfDay } from "../assessment/days.ts";
import { judgementsOf } from "../assessment/judgements.ts";
import { judgementText } from "../wording/judgements.ts";
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
import { personName } from "./person-name.ts";

interface NoteOptions extends StoreOption, JsonOption {
  readonly why: string;
  readonly by?: string;
}

interface AsideOptions extends NoteOptions {
  readonly check: string;
  readonly speed?: string;
}

interface DayOptions extends NoteOptions {
  readonly on: string;
}

const NOTHING = { checkedAtMs: null, speedRpm: null, onDay: null, undoes: null } as const;

type Draft = Pick<Judgement, "kind" | "instrument"> & Partial<Judgement>;

/**
 * `springtide note`: what people decide about a unit, with who, when and why. Figures follow; nothing is deleted, and
 * every note can be undone by another.
 */
export function noteCommand(context: CommandContext): Command {
  const command = new Command("note").description(
    "what people decide: a check set aside, a step's cause settled, limits fitted anew, a remark; each can be undone",
  );

  addWhy(command.command("set-aside"))
    .description("leave a check, or one reading of it, out of all figures")
    .argument("<instrument>")
    .requiredOption("--check <TIME>", "(required) its day, or its time where a day has several")
    .option("--speed <RPM>", "only the reading at this speed")
    .action((instrument: string, options: AsideOptions) =>
      keep(context, options, async (store) => ({
        kind: "set-aside",
        instrument,
        ...(await readingMeant(store, instrument, options)),
      })),
    );

  for (const [name, kind, description] of [
    ["cause", "step-cause", "settle what a step came from"],
    ["remark", "remark", "a remark on a day"],
    [
      "baseline",
      "baseline",
      "fit the limits of the control charts anew, from the first eight checks from a day on",
    ],
  ] as const) {
    addWhy(command.command(name))
      .description(description)
      .argument("<instrument>")
      .requiredOption("--on <DATE>", "(required) the day it is about")
      .action((instrument: string, options: DayOptions) => {
        const onDay = isoDate("--on", options.on);
        return keep(context, options, async () => ({ kind, instrument, onDay }));
      });
  }

  addWhy(command.command("undo"))
    .description("take a note back; it stays on record")
    .argument("<number>", "as springtide note list has it")
    .action((number: string, options: NoteOptions) =>
      keep(context, options, async (store) => {
        const undone = await standing(store, context, number);
        return { kind: "undo", instrument: undone.instrument, undoes: undone.id };
      }),
    );

  addJsonOption(addStoreOption(command.command("list")))
    .description("the notes on a unit, or on all")
    .argument("[instrument]")
    .action(async (instrument: string | undefined, options: StoreOption & JsonOption) => {
      const notes = await withStore(context, options, "existing", (store) =>
        judgementsOf(store, today(context), instrument),
      );
      const lines = notes.map((note) => `${note.id}  ${note.instrument}  ${judgementText(note)}\n`);
      context.print(
        options.json ? `${JSON.stringify({ notes })}\n` : lines.join("") || "There are no notes.\n",
      );
    });
  return command;
}

function addWhy(command: Command): Command {
  return addJsonOption(addStoreOption(command))
    .requiredOption("--why <TEXT>", "(required) the reason, for whoever reads it later")
    .option("--by <NAME>", "who decides so (default: the account's name)");
}

function today(context: CommandContext): string {
  return isoOfDay(context.now() / 86_400_000);
}

async function keep(
  context: CommandContext,
  options: NoteOptions,
  draft: (store: Store) => Promise<Draft>,
): Promise<void> {
  const why = options.why.trim();
  if (why === "") throw new UsageError("--why takes the reason, and it must not be empty");
  const by = personName(options.by);
  const note = await withStore(context, options, "existing", async (store) => {
    const judgement = { ...NOTHING, ...(await draft(store)), madeAtMs: context.now(), by, why };
    const known = await store.instruments();
    if (!known.some(({ instrument }) => instrument === judgement.instrument)) {
      throw new CommandError(`there is no unit "${judgement.instrument}": springtide forecast lists them`);
    }
    return { id: await store.addJudgement(judgement), ...judgement };
  });
  context.print(
    options.json
      ? `${JSON.stringify(note)}\n`
      : `Kept as note ${note.id}. springtide note undo ${note.id} takes it back.\n`,
  );
}

/** The note that is to be undone. */
async function standing(store: Store, context: CommandContext, number: string): Promise<Judgement> {
  const found = (await judgementsOf(store, today(context))).find(({ id }) => String(id) === number);
  if (found === undefined)
    throw new CommandError(`there is no note ${number}: springtide note list has them all`);
  if (found.undoneBy !== null) throw new CommandError(`note ${number} was taken back already`);
  return found;
}

/** The one check, or reading, that a day or time names. */
async function readingMeant(
  store: Store,
  instrument: string,
  { check, speed }: AsideOptions,
): Promise<Pick<Judgement, "checkedAtMs" | "speedRpm">> {
  const columns = await store.readings({ instrument });
  const timeOf = (row: number) => new Date(columns.checkedAtMs[row]!).toISOString();
  const rows = [...Array(columns.count).keys()].filter((row) =>
    timeOf(row).startsWith(check.replace(/Z$/, "")),
  );
  const checks = [...new Set(rows.map((row) => columns.check[row]!))];
  if (checks.length !== 1) {
    const times = checks.map((number) => timeOf(rows.find((row) => columns.check[row] === number)!));
    throw new CommandError(
      times.length === 0
        ? `${instrument} has no check at ${check}: write its day like 2026-03-31, or its time (UTC) as on its page`
        : `${instrument} has ${times.length} checks at ${check}: name one of ${times.join(", ")}`,
    );
  }
  const speeds = rows.map((row) => columns.speedRpm[row]!);
  if (speed === undefined) return { checkedAtMs: columns.checkedAtMs[rows[0]!]!, speedRpm: null };
  const row = rows.find((candidate) => columns.speedRpm[candidate] === Number(speed));
  if (row === undefined) {
    throw new CommandError(
      `that check has no reading at ${speed} min\u207b\u00b9; it has ${speeds.join(", ")}`,
    );
  }
  return { checkedAtMs: columns.checkedAtMs[row]!, speedRpm: columns.speedRpm[row]! };
}
