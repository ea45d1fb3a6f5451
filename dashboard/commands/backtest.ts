import { Command } from "commander";
import { backtestReport } from "../assessment/backtest-report.ts";
import { EVERY_DAYS, type TrackRecord, trackRecord } from "../assessment/track-record.ts";
import { recordSummary } from "../page-models/record.ts";
import { count, decimal, share } from "../wording/numbers.ts";
import {
  classText,
  coverageText,
  HOW_JUDGED,
  leadText,
  progressText,
  rangeText,
  recordHeadline,
  recordRestsOn,
  skillTexts,
  verdictOfClass,
} from "../wording/record.ts";
import type { CommandContext } from "./context.ts";
import { UsageError } from "./errors.ts";
import { addLookOptions, type LookOptions, printLook } from "./look.ts";
import { textTable } from "./text-table.ts";

interface BacktestOptions extends LookOptions {
  readonly every?: string;
}

/** `springtide backtest`: forecasts made from the past, held against what came. */
export function backtestCommand(context: CommandContext): Command {
  const command = new Command("backtest")
    .description("forecasts made from the past, with what was known then, held against what came")
    .option("--every <DAYS>", `days between the days that are replayed (default: ${EVERY_DAYS})`)
    .action(async (options: BacktestOptions) => {
      const everyDays = daysBetween(options.every);
      await printLook(context, options, {
        find: (store, asOf) =>
          trackRecord(store, asOf, everyDays, (done, of) => context.progress?.(progressText({ done, of }))),
        report: backtestReport,
        words: inWords,
      });
    });
  return addLookOptions(command);
}

/** @throws {UsageError} for anything but a whole number of days from 7 to 366. */
function daysBetween(text: string | undefined): number {
  if (text === undefined) return EVERY_DAYS;
  const days = /^\d{1,3}$/.test(text) ? Number(text) : Number.NaN;
  if (!(days >= 7 && days <= 366))
    throw new UsageError(`--every takes a whole number of days from 7 to 366, got "${text}"`);
  return days;
}

function inWords(found: TrackRecord): string {
  const record = recordSummary(found);
  const headline = recordHeadline({ asOf: found.asOf, record, isCurrent: true, progress: null });
  if (record.forecasts === 0) return `${headline}\n`;
  const table = textTable(
    ["given", ">units", ">to be expected out", ">went out", ">share", "by chance", "came true"],
    record.classes.map((row) => [
      classText(row),
      count(row.units),
      decimal(row.expected, 1),
      count(row.wentOut),
      share(row.wentOut / row.units),
      rangeText(row),
      verdictOfClass(row),
    ]),
  );
  const said = [...skillTexts(record), leadText(record), coverageText(record)].filter(
    (text) => text !== null,
  );
  return `${headline}\n${recordRestsOn(record)}\n\n${table}\n${said.join("\n")}\n\n${HOW_JUDGED}\n`;
}
