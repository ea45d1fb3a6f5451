import { Command, Option } from "commander";
import { FINDING_DECISIONS, type FindingDecisionKind, type Store } from "../../ingest/index.ts";
import { dayOfIso, isoOfDay } from "../assessment/days.ts";
import { loadFindings } from "../assessment/load-findings.ts";
import type { LoadedFleet } from "../assessment/load-fleet.ts";
import {
  checkReport,
  type DoubtedCheck,
  type DoubtedResult,
  doubtedChecks,
  doubtedResults,
  findingReport,
  type OutFindingView,
  resultReport,
  windowReport,
} from "../assessment/out-findings.ts";
import { date } from "../wording/dates.ts";
import {
  boundsText,
  FINDINGS_CAUTION,
  findingsHeadline,
  foundText,
  offText,
  standsText,
  windowText,
} from "../wording/findings.ts";
import { decimal, percent, signed } from "../wording/numbers.ts";
import type { CommandContext } from "./context.ts";
import { CommandError, UsageError } from "./errors.ts";
import { addLookOptions, type LookOptions } from "./look.ts";
import { addStoreOption, asOfDay, isoDate, withStore } from "./options.ts";
import { personName } from "./person-name.ts";
import { textTable } from "./text-table.ts";

interface FindingOptions extends LookOptions {
  readonly since?: string;
  readonly service?: string;
}

interface DecideOptions extends LookOptions {
  readonly service?: string;
  readonly as: FindingDecisionKind;
  readonly why: string;
  readonly by?: string;
}

/**
 * `springtide findings`: units found out of tolerance, since when, what results may be off by, and what people
 * decided. Only a person closes a finding.
 */
export function findingsCommand(context: CommandContext): Command {
  const command = new Command("findings").description(
    "units found out of tolerance: since when, what results may be off by, what was decided",
  );

  addLookOptions(command.command("list", { isDefault: true }))
    .description("every finding, the latest first")
    .option("--since <DATE>", "findings of services from this day on (default: a year back)")
    .action((options: FindingOptions) => list(context, options));

  addLookOptions(command.command("show"))
    .description("one finding in full, with the results measured in its window")
    .argument("<instrument>")
    .option("--service <DATE>", "the service that found it (default: its latest finding)")
    .action((instrument: string, options: FindingOptions) => show(context, instrument, options));

  addLookOptions(command.command("record"))
    .description("record a finding, with its window as it is told now")
    .argument("<instrument>")
    .option("--service <DATE>", "the service that found it (default: its latest finding)")
    .requiredOption("--why <TEXT>", "(required) what was found, for whoever reads it later")
    .option("--by <NAME>", "who records it (default: the account's name)")
    .action((instrument: string, options: DecideOptions) => record(context, instrument, options));

  addStoreOption(command.command("decide"))
    .description("decide on a recorded finding; all but look-into close it")
    .argument("<number>", "as springtide findings has it")
    .addOption(
      new Option("--as <DECISION>", "what was decided").choices(FINDING_DECISIONS).makeOptionMandatory(),
    )
    .requiredOption("--why <TEXT>", "(required) the reason")
    .option("--by <NAME>", "who decides (default: the account's name)")
    .action((number: string, options: DecideOptions) => decide(context, number, options));
  return command;
}

async function list(context: CommandContext, options: FindingOptions): Promise<void> {
  const asOf = asOfDay(context, options);
  const since = options.since === undefined ? undefined : isoDate("--since", options.since);
  const { findings, fromDay } = await withStore(context, options, "existing", (store) =>
    loadFindings(store, asOf, since),
  );
  if (options.json) {
    context.print(`${JSON.stringify({ as_of: asOf, findings: findings.map(findingReport) })}\n`);
    return;
  }
  const rows = findings.map((finding) => [
    finding.record === null ? "" : String(finding.record.id),
    finding.found.instrument,
    finding.found.site ?? "",
    date(finding.found.foundDay),
    finding.since?.left ? date(finding.since.left.p50) : "",
    finding.since?.left ? `${date(finding.since.left.p05)} to ${date(finding.since.left.p95)}` : "",
    standsText(finding),
  ]);
  context.print(
    [
      `${findingsHeadline(findings, fromDay)}\n`,
      textTable(["number", "unit", "site", "found on", "likely out since", "5 to 95 %", "stands"], rows),
      `${FINDINGS_CAUTION}\n`,
    ].join("\n"),
  );
}

async function show(context: CommandContext, instrument: string, options: FindingOptions): Promise<void> {
  const asOf = asOfDay(context, options);
  const { finding, doubted, checks } = await withStore(context, options, "existing", async (store) => {
    const { finding: found, loaded } = await findingMeant(store, asOf, instrument, options.service);
    return {
      finding: found,
      doubted: await doubtedResults(store, found),
      checks: doubtedChecks(loaded, found),
    };
  });
  context.print(
    options.json
      ? `${JSON.stringify({ as_of: asOf, ...findingReport(finding), checks: checks.map(checkReport), results: doubted.map(resultReport) })}\n`
      : inWords(finding, doubted, checks),
  );
}

function inWords(
  finding: OutFindingView,
  doubted: readonly DoubtedResult[],
  checks: readonly DoubtedCheck[],
): string {
  const { found, since } = finding;
  const off = (since?.offNow ?? []).map((o) => `  ${offText(o).replaceAll("\u202f", " ")}`);
  const rows = doubted.map(({ result, off: by, leftBy }) => [
    date(result.measuredAtMs / 86_400_000),
    result.sample,
    result.viscosityMPaS === null ? "" : String(result.viscosityMPaS),
    result.torquePercent === null ? "" : String(result.torquePercent),
    percent(leftBy).replaceAll("\u202f", " "),
    by === null
      ? "torque not recorded"
      : `${signed(by.p50, 1)} (${signed(by.p05, 1)} to ${signed(by.p95, 1)})`,
  ]);
  return [
    `${found.instrument} was found out of tolerance ${foundText(found)}.`,
    windowText(since).replaceAll("\u202f", " "),
    `By its checks as read: ${boundsText(since)}.`,
    `It stands: ${standsText(finding)}.\n`,
    "A result measured with it when it was found may be off by:",
    ...off,
    "",
    ...(checks.length === 0 ? [] : [checksTable(checks)]),
    rows.length === 0
      ? "No result of that time was taken in (results.csv)."
      : textTable(["measured", "sample", ">mPa·s", ">torque, %", ">out by then", ">off by, %"], rows),
    `${FINDINGS_CAUTION}\n`,
  ].join("\n");
}

function checksTable(checks: readonly DoubtedCheck[]): string {
  return textTable(
    ["checked", ">read, of tolerance", ">at torque, %", ">out by then", ">off by, %"],
    checks.map(({ day, worst, torquePercent, leftBy, off }) => [
      date(day),
      decimal(worst, 2),
      decimal(torquePercent, 0),
      percent(leftBy).replaceAll("\u202f", " "),
      `${signed(off.p50, 1)} (${signed(off.p05, 1)} to ${signed(off.p95, 1)})`,
    ]),
  );
}

async function record(context: CommandContext, instrument: string, options: DecideOptions): Promise<void> {
  const why = reason(options.why);
  const by = personName(options.by);
  const asOf = asOfDay(context, options);
  const number = await withStore(context, options, "existing", async (store) => {
    const { finding } = await findingMeant(store, asOf, instrument, options.service);
    const { found, since, record: known } = finding;
    if (known !== null) throw new CommandError(`this finding is on record as number ${known.id}`);
    return store.openFinding({
      instrument,
      foundOn: isoOfDay(found.servicedDay ?? found.foundDay),
      openedAtMs: context.now(),
      by,
      why,
      window: JSON.stringify(windowReport(since)),
    });
  });
  context.print(options.json ? `${JSON.stringify({ number })}\n` : `Recorded as number ${number}.\n`);
}

async function decide(context: CommandContext, text: string, options: DecideOptions): Promise<void> {
  const why = reason(options.why);
  const by = personName(options.by);
  await withStore(context, options, "existing", async (store) => {
    const finding = (await store.findings()).find(({ id }) => String(id) === text);
    if (finding === undefined) {
      throw new CommandError(`there is no finding with the number ${text}: springtide findings lists them`);
    }
    await store.decideFinding(finding.id, { decidedAtMs: context.now(), by, decision: options.as, why });
  });
  context.print("Decided, and kept with name and time.\n");
}

function reason(why: string): string {
  if (why.trim() === "") throw new UsageError("--why takes the reason, and it must not be empty");
  return why.trim();
}

async function findingMeant(
  store: Store,
  asOf: string,
  instrument: string,
  service: string | undefined,
): Promise<{ readonly finding: OutFindingView; readonly loaded: LoadedFleet }> {
  const day = service === undefined ? null : dayOfIso(isoDate("--service", service));
  const { findings, loaded } = await loadFindings(store, asOf, service);
  const own = findings.filter(({ found }) => found.instrument === instrument);
  const meant = day === null ? own[0] : own.find(({ found }) => found.servicedDay === day);
  if (meant !== undefined) return { finding: meant, loaded };
  const isKnown = loaded.fleet.units.some((unit) => unit.instrument === instrument);
  throw new CommandError(
    isKnown
      ? `"${instrument}" was not found out of tolerance${day === null ? " within a year" : ` by a service on ${service}`}`
      : `there is no unit "${instrument}": springtide forecast lists them`,
  );
}
