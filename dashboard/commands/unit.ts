import { Command } from "commander";
import type { Store } from "../../ingest/index.ts";
import { assessStore } from "../assessment/assess-store.ts";
import { buildUnitView } from "../assessment/unit-view.ts";
import { type UnitPage, unitPage, unitPageFigures } from "../page-models/unit.ts";
import type { CommandContext } from "./context.ts";
import { CommandError } from "./errors.ts";
import { addLookOptions, type LookOptions, printLook } from "./look.ts";
import { unitInWords } from "./unit-words.ts";

/** `springtide unit INSTRUMENT`: one unit in full. */
export function unitCommand(context: CommandContext): Command {
  const command = new Command("unit")
    .description("one unit in full: bands, linearity, charts, pattern, forecast, and what to do next")
    .argument("<instrument>", "the unit's number, as in the instruments register")
    .action((instrument: string, options: LookOptions) =>
      printLook(context, options, {
        find: (store, asOf) => pageOf(store, instrument, asOf),
        report: unitPageFigures,
        words: unitInWords,
      }),
    );
  return addLookOptions(command);
}

async function pageOf(store: Store, instrument: string, asOf: string): Promise<UnitPage> {
  const run = await assessStore(store, asOf);
  const view = await buildUnitView({ store, revision: run.revision, asOf, run, instrument });
  if (view !== null) return unitPage(view);
  const known = run.assessment.units.length;
  throw new CommandError(
    known === 0
      ? `${store.shown} holds no units yet: ingest an instruments register first`
      : `there is no unit "${instrument}" among the ${known} registered: springtide forecast lists them`,
  );
}
