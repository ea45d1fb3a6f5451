import { Command } from "commander";
import { type IngestReport, ingestPaths, type SuggestedProfile, suggestProfile } from "../../ingest/index.ts";
import { firstHeldOf, readAsLines } from "../wording/intake.ts";
import type { CommandContext } from "./context.ts";
import { UsageError } from "./errors.ts";
import {
  addJsonOption,
  addStoreOption,
  byWorkersOption,
  type JsonOption,
  type StoreOption,
  withStore,
} from "./options.ts";
import { textTable } from "./text-table.ts";

interface IngestOptions extends StoreOption, JsonOption {
  readonly profile?: string;
  readonly dryRun?: true;
  readonly suggestProfile?: true;
  readonly byWorkers?: true;
}

/** `springtide ingest PATH…`: reads files and folders into the store, each wholly or not at all. */
export function ingestCommand(context: CommandContext): Command {
  const command = new Command("ingest")
    .description("read files, or folders of files, into the store; sending a file twice changes nothing")
    .argument("<path...>", "files and folders (CSV, JSON, NDJSON): readings and registers, in any order")
    .option("--profile <FILE>", "how these files' columns, units and dates map onto ours")
    .option("--dry-run", "read and report, but store nothing")
    .option("--suggest-profile", "draft a profile for one file of readings, and store nothing")
    .addOption(byWorkersOption())
    .action(async (paths: string[], options: IngestOptions) => {
      if (options.suggestProfile) return suggest(context, paths, options);
      if (options.byWorkers && options.dryRun)
        throw new UsageError("--by-workers does not go with --dry-run");
      const mode = options.dryRun ? "rehearse" : "create";
      const report = await withStore(context, options, mode, async (store) => {
        if (options.byWorkers) {
          const { ingestByWorkers } = await import("../jobs/by-workers.ts");
          return ingestByWorkers(store, paths, options.profile);
        }
        return ingestPaths(store, paths, {
          now: context.now,
          ...(options.profile !== undefined && { profile: options.profile }),
          ...(options.dryRun && { dryRun: true }),
          ...(context.progress && { onProgress: showProgress(context.progress) }),
        });
      });
      const anyRead = report.files.some((file) => file.error === null);
      if (options.json) context.print(`${JSON.stringify(report)}\n`);
      else if (anyRead) context.print(reportInWords(report, { dryRun: options.dryRun === true }));
      for (const file of report.files)
        if (file.error !== null) context.say(`springtide: ${file.file}: ${file.error}`);
      if (report.files.some((file) => file.error !== null)) context.exitCode = 1;
    });
  return addJsonOption(addStoreOption(command));
}

/** The draft goes to standard output, to be kept as a file; how sure it is of each column goes beside it. */
async function suggest(
  context: CommandContext,
  paths: readonly string[],
  options: IngestOptions,
): Promise<void> {
  const [path, ...more] = paths;
  if (path === undefined || more.length > 0 || options.profile !== undefined) {
    throw new UsageError("--suggest-profile takes one file, and no --profile");
  }
  const suggested = await suggestProfile(path);
  if (options.json) return context.print(`${JSON.stringify(suggested)}\n`);
  context.print(`${JSON.stringify(suggested.profile, null, 2)}\n`);
  for (const line of suggestionInWords(suggested)) context.say(line);
}

function suggestionInWords({ columns, notes }: SuggestedProfile): string[] {
  const table = textTable(
    ["header", "column", "unit", "how sure", "by"],
    columns.map(({ header, column, unit, sureness, why }) => [
      header,
      column ?? "–",
      unit ?? "",
      sureness,
      why,
    ]),
  );
  return [
    ...table.trimEnd().split("\n"),
    ...notes,
    "Look it over before use: a draft knows nothing of the site.",
  ];
}

type OnProgress = NonNullable<Parameters<typeof ingestPaths>[2]["onProgress"]>;

export function showProgress(show: (line: string) => void): OnProgress {
  return ({ file, bytesRead, bytesTotal, rows }) => {
    const share = bytesTotal > 0 ? Math.floor((100 * bytesRead) / bytesTotal) : 100;
    show(`${file}: ${share} %, ${rows.toLocaleString("en")} rows`);
  };
}

/** Held rows of each reason that are shown, however many files there are. */
const ROWS_SHOWN = 3;

/** The report as a table with, below it, what was held back and flagged and why, and how the files were read. */
export function reportInWords(
  report: IngestReport,
  { dryRun = false, rowsShown = ROWS_SHOWN }: { readonly dryRun?: boolean; readonly rowsShown?: number } = {},
): string {
  const count = (n: number) => n.toLocaleString("en");
  const row = (name: string, of: IngestReport["totals"]) => [
    name,
    count(of.rows),
    count(of.accepted),
    count(of.repeated),
    count(of.quarantined),
    count(of.flagged),
  ];
  const table = textTable(
    ["file", ">rows", ">accepted", ">repeated", ">held back", ">flagged"],
    [
      ...report.files.filter((f) => f.error === null).map((file) => row(`${file.file} (${file.kind})`, file)),
      row("together", report.totals),
    ],
  );
  const notes = [
    tally(
      "Held back",
      report.files.map((f) => f.reasons),
    ),
    ...firstHeldOf(report, rowsShown).flatMap(({ reason, rows }) => [
      `  ${reason}`,
      ...rows.map((row) => `    ${row}`),
    ]),
    tally(
      "Flagged",
      report.files.map((f) => f.flags),
    ),
    ...report.files.flatMap(({ file, notes }) => notes.map((note) => `Note on ${file}: ${note}`)),
    ...readAsLines(report).map((line) => `Read as ${line}`),
    dryRun ? "Nothing was stored: this was a dry run." : "",
  ].filter((line) => line !== "");
  return `${table}${notes.map((line) => `${line}\n`).join("")}`;
}

function tally(title: string, counts: readonly Readonly<Record<string, number>>[]): string {
  const sums = new Map<string, number>();
  for (const one of counts) {
    for (const [code, n] of Object.entries(one)) sums.set(code, (sums.get(code) ?? 0) + n);
  }
  if (sums.size === 0) return "";
  return `${title}: ${[...sums].map(([code, n]) => `${code} ${n.toLocaleString("en")}`).join(", ")}`;
}
