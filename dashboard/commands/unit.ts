import { Command } from "commander";
import type { Store } from "../../ingest/index.ts";
import { assessStore } from "../assessment/assess-store.ts";
import { dayOfIso } from "../assessment/days.ts";
import { buildUnitView } from "../assessment/unit-view.ts";
import type { UnitView } from "../assessment/views.ts";
import { type Choice, type Side, sideBySide, sideFigures } from "../page-models/side-by-side.ts";
import { type UnitPage, unitPage, unitPageFigures } from "../page-models/unit.ts";
import type { CommandContext } from "./context.ts";
import { CommandError, UsageError } from "./errors.ts";
import { addLookOptions, type LookOptions, printLook } from "./look.ts";
import { isoDate } from "./options.ts";
import { sidesInWords } from "./side-words.ts";
import { unitInWords } from "./unit-words.ts";

interface UnitOptions extends LookOptions {
  readonly from?: string;
  readonly to?: string;
}

interface UnitFound {
  readonly page: UnitPage;
  /** Error along the torque: the present life first, the others held against it. */
  readonly sides: readonly Side[];
}

/** `springtide unit INSTRUMENT`: one unit in full. */
export function unitCommand(context: CommandContext): Command {
  const command = new Command("unit")
    .description("one unit in full: bands, linearity, charts, pattern, forecast, and what to do next")
    .argument("<instrument>", "the unit's number, as in the instruments register")
    .option("--from <DATE>", "error along the torque from this day on, held against the present life")
    .option("--to <DATE>", "and up to this day")
    .action((instrument: string, options: UnitOptions) => {
      const between = daysAsked(instrument, options);
      return printLook(context, options, {
        find: (store, asOf) => find(store, instrument, asOf, between),
        report: ({ page, sides }) => ({ ...unitPageFigures(page), lines: sides.map(sideFigures) }),
        words: ({ page, sides }) => unitInWords(page, sidesInWords(sides)),
      });
    });
  return addLookOptions(command);
}

/** @returns null where no days are asked for. */
function daysAsked(instrument: string, { from, to }: UnitOptions): Choice | null {
  if (from === undefined && to === undefined) return null;
  const [fromDay, toDay] = [dayAsked("--from", from), dayAsked("--to", to)];
  if (fromDay !== null && toDay !== null && fromDay > toDay) {
    throw new UsageError(`--from ${from} lies after --to ${to}: exchange them`);
  }
  return { instrument, fromDay, toDay, fluidLot: null };
}

function dayAsked(option: string, written: string | undefined): number | null {
  return written === undefined ? null : dayOfIso(isoDate(option, written));
}

async function find(
  store: Store,
  instrument: string,
  asOf: string,
  between: Choice | null,
): Promise<UnitFound> {
  const run = await assessStore(store, asOf);
  const view = await buildUnitView({ store, revision: run.revision, asOf, run, instrument });
  if (view !== null) return { page: unitPage(view), sides: sidesOf(view, asOf, between) };
  const known = run.assessment.units.length;
  throw new CommandError(
    known === 0
      ? `${store.shown} holds no units yet: ingest an instruments register first`
      : `there is no unit "${instrument}" among the ${known} registered: springtide forecast lists them`,
  );
}

/** The present life first, then the days asked for, or else the lives before it, latest first. */
function sidesOf(view: UnitView, asOf: string, between: Choice | null): readonly Side[] {
  const { instrument } = view.instrument;
  const whole = { fromDay: null, toDay: null, fluidLot: null };
  const lives = view.linearity.lives.slice(0, -1).reverse();
  const others = between
    ? [between]
    : lives.map(({ fromDay, toDay }) => ({
        ...whole,
        fromDay: Math.floor(fromDay),
        toDay: Math.floor(toDay),
      }));
  const choices = [whole, ...others].map((choice): Choice => ({ ...choice, instrument }));
  return sideBySide(
    asOf,
    choices,
    choices.map(() => view),
  ).sides;
}
