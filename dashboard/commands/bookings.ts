import { writeFile } from "node:fs/promises";
import { Command } from "commander";
import type { ReturnsQuestion } from "../assessment/booking-problem.ts";
import { bookingsReport } from "../assessment/bookings-report.ts";
import { movedReport } from "../assessment/compare-plans.ts";
import { bookingsStanding, keptReport } from "../assessment/kept-bookings.ts";
import { planReturns, type ReturnsPlan } from "../assessment/plan-returns.ts";
import { loadReturns, type ReturnsInput } from "../assessment/returns-input.ts";
import { settingsInForce } from "../settings-in-force.ts";
import { type BesideIt, besideReport, bookingsInWords } from "./bookings-words.ts";
import type { CommandContext } from "./context.ts";
import { CommandError, UsageError } from "./errors.ts";
import { isoWeek, keepBookings, unitAndWeek } from "./keep-bookings.ts";
import { addLookOptions, type LookOptions } from "./look.ts";
import { asOfDay, withStore } from "./options.ts";

interface BookingsOptions extends LookOptions {
  readonly capacity?: string;
  readonly spare?: string;
  readonly target?: string;
  readonly closed?: string;
  readonly week: readonly string[];
  readonly beside: readonly string[];
  readonly fix: readonly string[];
  readonly calendar?: string;
  readonly keep: readonly string[];
  readonly release: readonly string[];
  readonly why?: string;
  readonly by?: string;
}

/** `springtide bookings`: the return plan. */
export function bookingsCommand(context: CommandContext): Command {
  const command = new Command("bookings")
    .description("the return plan: each unit one week between now and its due date, with the reason")
    .option("--capacity <N>", "units taken in a week (default: the workshops of the settings)")
    .option("--closed <WEEKS>", "weeks in which nothing is taken in, such as 2026-W52,2026-W53")
    .option(
      "--week <WEEK=N>",
      "a week that takes in another number, such as 2026-W32=2; may be given again",
      again,
      [],
    )
    .option("--spare <N>", "units of a site that may be away at once (default: the settings' share)")
    .option("--target <SHARE>", "share of units to be in tolerance when they return, such as 0.95")
    .option(
      "--fix <UNIT=WEEK>",
      "a week chosen by hand, such as U-0042=2026-W20; may be given again",
      again,
      [],
    )
    .option(
      "--beside <RULES>",
      "hold a plan with other rules beside it, such as capacity=14,spare=2,target=0.98; may be given again",
      again,
      [],
    )
    .option("--calendar <FILE>", "write the plan as a calendar file too, such as returns.ics")
    .option(
      "--keep <UNIT=WEEK>",
      "keep a week for a unit from now on, such as U-0042=2026-W20, and plan nothing now; may be given again",
      again,
      [],
    )
    .option("--release <UNIT>", "leave a unit to the plan again; may be given again", again, [])
    .option("--why <TEXT>", "the reason, with --keep and --release")
    .option("--by <NAME>", "who decides so (default: the account's name)")
    .action(async (options: BookingsOptions) => {
      if (options.keep.length + options.release.length > 0) {
        await keepBookings(context, options);
        return;
      }
      const question = questionOf(options);
      const asOf = asOfDay(context, options);
      const { input, settings, kept } = await withStore(context, options, "existing", async (store) => {
        const inForce = await settingsInForce(store, asOf);
        if (question.capacityPerWeek === null && inForce.settings.planning.workshops.length === 0) {
          throw new UsageError("bookings needs --capacity N, or workshops in the settings");
        }
        return {
          input: await loadReturns(store, asOf, inForce.settings),
          settings: inForce.settings,
          kept: await bookingsStanding(store, asOf),
        };
      });
      checkFixed(question, input);
      const planFor = (asked: ReturnsQuestion) => planReturns(input, asked, settings);
      const plan = await planFor(question);
      const isFree = question.fixed.size === 0 && input.units.every(({ keptWeek }) => keptWeek === null);
      const free = isFree ? plan : await planFor({ ...question, fixed: new Map(), withoutKept: true });
      const beside: BesideIt[] = [];
      for (const rules of options.beside) {
        beside.push({ rules, plan: await planFor({ ...question, ...otherRules(rules) }) });
      }
      if (options.calendar !== undefined) await writeCalendar(options.calendar, plan, context.now());
      context.print(
        options.json
          ? `${JSON.stringify({
              ...bookingsReport(plan, question.capacityPerWeek),
              kept: keptReport(kept),
              moved_by_hand: movedReport(plan, free),
              beside: beside.map((other) => besideReport(other, plan)),
            })}\n`
          : bookingsInWords(plan, free, beside),
      );
    });
  return addLookOptions(command);
}

async function writeCalendar(file: string, plan: ReturnsPlan, now: number): Promise<void> {
  // Loaded only where it is asked for.
  const { bookingCalendar } = await import("../tables/booking-calendar.ts");
  try {
    await writeFile(file, bookingCalendar(plan, now));
  } catch (error) {
    throw new CommandError(`${file} cannot be written: ${(error as NodeJS.ErrnoException).code}`);
  }
}

function again(text: string, before: readonly string[]): readonly string[] {
  return [...before, text];
}

function questionOf(options: BookingsOptions): ReturnsQuestion {
  const { capacity, spare, target, closed, fix } = options;
  return {
    capacityPerWeek: capacity === undefined ? null : wholeNumber("--capacity", capacity),
    sparePerSite: spare === undefined ? null : wholeNumber("--spare", spare),
    reliabilityTarget: target === undefined ? null : targetShare("--target", target),
    otherWeeks: {
      ...Object.fromEntries(
        (closed ?? "")
          .split(",")
          .filter(Boolean)
          .map((week) => [isoWeek("--closed", week), 0]),
      ),
      ...Object.fromEntries(options.week.map(otherWeek)),
    },
    fixed: new Map(fix.map((text) => unitAndWeek("--fix", text))),
  };
}

function otherWeek(text: string): [string, number] {
  const [week = "", takes = ""] = text.split("=");
  if (!/^\d{1,5}$/.test(takes))
    throw new UsageError(`--week takes a week and a number like 2026-W32=2, got "${text}"`);
  return [isoWeek("--week", week), Number(takes)];
}

/** What `--beside` changes of the question. */
function otherRules(text: string): Partial<ReturnsQuestion> {
  return Object.assign(
    {},
    ...text.split(",").map((rule): Partial<ReturnsQuestion> => {
      const [name = "", value = ""] = rule.split("=");
      switch (name.trim()) {
        case "capacity":
          return { capacityPerWeek: wholeNumber("--beside capacity", value) };
        case "spare":
          return { sparePerSite: wholeNumber("--beside spare", value) };
        case "target":
          return { reliabilityTarget: targetShare("--beside target", value) };
        default:
          throw new UsageError(`--beside takes rules like capacity=14,spare=2,target=0.98, got "${text}"`);
      }
    }),
  );
}

function targetShare(name: string, text: string): number {
  const share = Number(text);
  if (share > 0.5 && share < 1) return share;
  throw new UsageError(`${name} takes a share above 0.5 and below 1, got "${text}"`);
}

function wholeNumber(name: string, text: string): number {
  const value = /^\d{1,5}$/.test(text) ? Number(text) : 0;
  if (value < 1) throw new UsageError(`${name} takes a whole number from 1 to 99999, got "${text}"`);
  return value;
}

function checkFixed({ fixed }: ReturnsQuestion, { units, weeks }: ReturnsInput): void {
  for (const [instrument, week] of fixed) {
    if (!units.some((unit) => unit.instrument === instrument)) {
      throw new CommandError(`--fix: no unit is called "${instrument}".`);
    }
    if (!weeks.some(({ name }) => name === week)) {
      throw new CommandError(
        `--fix: ${week} is not among the weeks that can be booked, ${weeks[0]!.name} to ${weeks.at(-1)!.name}.`,
      );
    }
  }
}
