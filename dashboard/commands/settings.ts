import { readFile } from "node:fs/promises";
import { Command } from "commander";
import type { BudgetCost } from "../../analysis/index.ts";
import type { Store } from "../../ingest/index.ts";
import { assessStore } from "../assessment/assess-store.ts";
import { isoOfDay } from "../assessment/days.ts";
import { previewSettings } from "../assessment/settings-preview.ts";
import { costOfBudgets } from "../assessment/watch-store.ts";
import { differencesOf, rangeOf, valueAt } from "../setting-fields.ts";
import { DEFAULT_SETTINGS, type Settings } from "../settings.ts";
import { mergeSettings, putInForce, settingsInForce } from "../settings-in-force.ts";
import { date } from "../wording/dates.ts";
import { decimal } from "../wording/numbers.ts";
import { changeText, EVERY_SETTING, rangeText } from "../wording/settings.ts";
import {
  movesTexts,
  otherEffects,
  previewHeadline,
  REQUIREMENT_CAUTION,
  verdictsText,
} from "../wording/settings-page.ts";
import { BUDGETS_IN_CHECKS } from "../wording/signals.ts";
import type { CommandContext } from "./context.ts";
import { CommandError, UsageError } from "./errors.ts";
import { addLookOptions, type LookOptions } from "./look.ts";
import { asOfDay, isoDate, withStore } from "./options.ts";
import { personName } from "./person-name.ts";
import { textTable } from "./text-table.ts";

interface SettingsOptions extends LookOptions {
  readonly set?: string;
  readonly by?: string;
  readonly why?: string;
  readonly from?: string;
  readonly preview?: true;
}

/** `springtide settings`: the rules in force; `--set` applies a JSON file with some of them. */
export function settingsCommand(context: CommandContext): Command {
  const command = new Command("settings")
    .description("the rules in force: tolerance, temperature, false alarms, reliability")
    .option("--set <FILE>", "put these in force from now on: a JSON file with some of the settings")
    .option("--by <NAME>", "who decided so (default: the account's name)")
    .option("--why <REASON>", "the reason, kept with the change")
    .option("--from <DATE>", "for the first settings of a store: the day since which they have held")
    .option("--preview", "with --set: only say what this would do to the fleet, and keep nothing")
    .action(async (options: SettingsOptions) => {
      if (options.preview) return printPreview(context, options);
      // With --set a store may be made: rules come before the first checks.
      const mode = options.set === undefined ? "existing" : "create";
      const { settings, change, costs } = await withStore(context, options, mode, async (store) => {
        if (options.set !== undefined) await setFromFile(context, store, options);
        const asOf = asOfDay(context, options);
        const costs = options.json ? null : await costOfBudgets(store, asOf);
        return { ...(await settingsInForce(store, asOf)), costs };
      });
      if (options.json) context.print(`${JSON.stringify(settings)}\n`);
      else {
        const since = change
          ? `In force since ${date((change.fromDay === null ? change.setAtMs : Date.parse(change.fromDay)) / 86_400_000)}, set by ${change.by}: ${change.why ?? "no reason given"}.`
          : "The defaults: nobody has set others.";
        context.print(
          `${since}\n\n${textTable(["setting", ">value", ">default", "range"], rowsOf(settings))}`,
        );
        if (costs) context.print(`\n${BUDGETS_IN_CHECKS}\n\n${costTable(costs)}`);
      }
    });
  return addLookOptions(command);
}

async function setFromFile(context: CommandContext, store: Store, options: SettingsOptions): Promise<void> {
  const part = await readJson(options.set!);
  const nowMs = context.now();
  const { settings } = await settingsInForce(store, isoOfDay(nowMs / 86_400_000));
  await putInForce(store, mergeSettings(settings, part), {
    nowMs,
    by: personName(options.by),
    why: options.why ?? null,
    fromDay: options.from === undefined ? null : isoDate("--from", options.from),
  });
}

async function readJson(file: string): Promise<unknown> {
  let text: string;
  try {
    text = await readFile(file, "utf8");
  } catch (error) {
    throw new CommandError(
      (error as NodeJS.ErrnoException).code === "ENOENT"
        ? `There is no settings file ${file}: --set takes a JSON file with some of the settings.`
        : `The settings file ${file} cannot be read: ${(error as Error).message}.`,
    );
  }
  try {
    return JSON.parse(text.replace(/^\uFEFF/, ""));
  } catch (error) {
    throw new CommandError(`The settings file ${file} is no JSON: ${(error as Error).message}.`);
  }
}

function costTable(costs: readonly BudgetCost[]): string {
  return textTable(
    [
      "false alarms a month",
      ...costs[0]!.delays.map(({ what, sigma }) =>
        what === "shift" ? `>${sigma} sigma` : `>drift ${sigma}`,
      ),
    ],
    costs.map(({ falseAlarmsPerMonth, factor, delays }) => [
      `${decimal(falseAlarmsPerMonth, 1)}${factor === 1 ? ", as set" : ""}`,
      ...delays.map(({ checks, months }) => `${decimal(checks, 1)} (${decimal(months, 1)})`),
    ]),
  );
}

/** Every setting there is, also those that are empty. */
function rowsOf(settings: Settings): string[][] {
  return EVERY_SETTING.map((words) => [
    words.path,
    plainValue(valueAt(settings, words.path)),
    plainValue(valueAt(DEFAULT_SETTINGS, words.path)),
    rangeText({ ...words, isShare: false }, rangeOf(words.path)),
  ]).concat([["tolerance.per_geometry", plainValue(settings.tolerance.per_geometry), "none", ""]]);
}

function plainValue(value: unknown): string {
  if (typeof value !== "object" || value === null) return String(value);
  return Object.keys(value).length === 0 ? "none" : JSON.stringify(value);
}

/** What the file's settings would do; nothing is kept. */
async function printPreview(context: CommandContext, options: SettingsOptions): Promise<void> {
  if (options.set === undefined) throw new UsageError("--preview needs --set FILE");
  const part = await readJson(options.set);
  const asOf = asOfDay(context, options);
  const { run, proposed, preview } = await withStore(context, options, "existing", async (store) => {
    const run = await assessStore(store, asOf);
    const proposed = mergeSettings(run.settings, part);
    return { run, proposed, preview: await previewSettings(store, asOf, run, proposed) };
  });
  if (options.json) context.print(`${JSON.stringify({ as_of: asOf, settings: proposed, preview })}\n`);
  else {
    const lines = [
      ...differencesOf(run.settings, proposed).map((path) => changeText(path, run.settings, proposed)),
      "",
      previewHeadline(preview),
      verdictsText(preview),
      ...otherEffects(preview),
      ...movesTexts(preview),
      "",
      REQUIREMENT_CAUTION,
      "Nothing has been kept: the same call without --preview keeps it.",
    ];
    context.print(`${lines.join("\n")}\n`);
  }
}
