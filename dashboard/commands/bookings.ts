import { writeFile } from "node:fs/promises";
import { Command } from "commander";
import type { ReturnsQuestion } from "../assessment/booking-problem.ts";
import { bookingsReport } from "../assessment/bookings-report.ts";
import { isoOfDay } from "../assessment/days.ts";
import { mondayOfIsoWeek } from "../assessment/iso-weeks.ts";
import { planReturns, type ReturnsPlan } from "../assessment/plan-returns.ts";
import { loadReturns, type ReturnsInput } from "../assessment/returns-input.ts";
import { settingsInForce } from "../settings-in-force.ts";
import { date } from "../wording/dates.ts";
import { counted, decimal } from "../wording/numbers.ts";
import { bookingWhy, gapText, shortageText } from "../wording/returns.ts";
import type { CommandContext } from "./context.ts";
import { CommandError, UsageError } from "./errors.ts";
import { addLookOptions, type LookOptions } from "./look.ts";
import { asOfDay, withStore } from "./options.ts";
import { textTable } from "./text-table.ts";

interface BookingsOptions extends LookOptions {
  readonly capacity?: string;
  readonly spare?: string;
  readonly target?: string;
  readonly closed?: string;
  readonly fix: readonly string[];
  readonly calendar?: string;
}

/** `springtide bookings`: the return plan. */
export function bookingsCommand(context: CommandContext): Command {
  const command = new Command("bookings")
    .description("the return plan: each unit one week between now and its due date, with the reason")
    .option("--capacity <N>", "units taken in a week (default: the workshops of the settings)")
    .option("--closed <WEEKS>", "weeks in which nothing is taken in, such as 2026-W52,2026-W53")
    .option("--spare <N>", "units of a site that may be away at once (default: the settings' share)")
    .option("--target <SHARE>", "share of units to be in tolerance when they return, such as 0.95")
    .option(
      "--fix <UNIT=WEEK>",
      "a week chosen by hand, such as U-0042=2026-W20; may be given again",
      (text: string, before: readonly string[]) => [...before, text],
      [],
    )
    .option("--calendar <FILE>", "write the plan as a calendar file too, such as returns.ics")
    .action(async (options: BookingsOptions) => {
      const question = questionOf(options);
      const asOf = asOfDay(context, options);
      const { input, settings } = await withStore(context, options, "existing", async (store) => {
        const inForce = await settingsInForce(store, asOf);
        if (question.capacityPerWeek === null && inForce.settings.planning.workshops.length === 0) {
          throw new UsageError("bookings needs --capacity N, or workshops in the settings");
        }
        return { input: await loadReturns(store, asOf, inForce.settings), settings: inForce.settings };
      });
      checkFixed(question, input);
      const plan = await planReturns(input, question, settings);
      if (options.calendar !== undefined) await writeCalendar(options.calendar, plan, context.now());
      context.print(
        options.json ? `${JSON.stringify(bookingsReport(plan, question.capacityPerWeek))}\n` : inWords(plan),
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

function questionOf(options: BookingsOptions): ReturnsQuestion {
  const { capacity, spare, target, closed, fix } = options;
  const share = target === undefined ? null : Number(target);
  if (share !== null && !(share > 0.5 && share < 1)) {
    throw new UsageError(`--target takes a share above 0.5 and below 1, got "${target}"`);
  }
  return {
    capacityPerWeek: capacity === undefined ? null : wholeNumber("--capacity", capacity),
    sparePerSite: spare === undefined ? null : wholeNumber("--spare", spare),
    reliabilityTarget: share,
    closedWeeks: closed === undefined ? [] : closed.split(",").map((week) => isoWeek("--closed", week)),
    fixed: new Map(
      fix.map((text): [string, string] => {
        const at = text.lastIndexOf("=");
        if (at < 1) throw new UsageError(`--fix takes a unit and a week like U-0042=2026-W20, got "${text}"`);
        return [text.slice(0, at), isoWeek("--fix", text.slice(at + 1))];
      }),
    ),
  };
}

function wholeNumber(name: string, text: string): number {
  const value = /^\d{1,5}$/.test(text) ? Number(text) : 0;
  if (value < 1) throw new UsageError(`${name} takes a whole number from 1 to 99999, got "${text}"`);
  return value;
}

function isoWeek(name: string, text: string): string {
  const week = text.trim();
  if (mondayOfIsoWeek(week) === null) {
    throw new UsageError(`${name} takes weeks like 2026-W14, got "${text}"`);
  }
  return week;
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

function inWords(plan: ReturnsPlan): string {
  const rows = plan.units.map((unit) => {
    const week = unit.week === null ? null : plan.weeks[unit.week]!;
    return [
      week?.name ?? "none",
      week === null ? "" : date(week.firstDay),
      unit.unit.instrument,
      unit.unit.site ?? "",
      date(unit.dueDay),
      bookingWhy(unit, plan.weeks).replaceAll("\u202f", " "),
    ];
  });
  return [
    `${summary(plan)}\n`,
    textTable(["week", "leaves", "unit", "site", "due", "why"], rows),
    ...(plan.withoutDate.length > 0
      ? [`${counted(plan.withoutDate.length, "unit has", "units have")} no service date and no booking.\n`]
      : []),
    "A forecast is a probability, not a statement of conformity, and does not extend a due date.\n",
  ].join("\n");
}

function summary(plan: ReturnsPlan): string {
  const { outcome, onDueDates, asOfDay } = plan;
  const shortage = outcome.unitsLate + outcome.unplaced > 0 ? shortageText(plan) : null;
  return [
    `As of ${isoOfDay(asOfDay)}: ${counted(outcome.unitsEarly, "unit goes", "units go")} early, ${outcome.unitsLate} late, ${outcome.unplaced} without room.`,
    `Expected days out of tolerance before return: ${decimal(outcome.daysOut, 0)}, with everybody on the due date ${decimal(onDueDates.daysOut, 0)}.`,
    gapText(plan).replaceAll("\u202f", " "),
    ...(shortage === null ? [] : [shortage]),
  ].join("\n");
}
