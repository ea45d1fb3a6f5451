import { Command } from "commander";
import { backtestCommand } from "./backtest.ts";
import { backupCommand, restoreCommand } from "./backup.ts";
import { bookingsCommand } from "./bookings.ts";
import type { CommandContext } from "./context.ts";
import { demoCommand } from "./demo.ts";
import { findingsCommand } from "./findings.ts";
import { fluidsCommand } from "./fluids.ts";
import { forecastCommand } from "./forecast.ts";
import { heldCommand } from "./held.ts";
import { ingestCommand } from "./ingest.ts";
import { intervalsCommand } from "./intervals.ts";
import { noteCommand } from "./note.ts";
import { noticesCommand } from "./notices.ts";
import { peopleCommand } from "./people.ts";
import { reportCommand } from "./report.ts";
import { serveCommand } from "./serve.ts";
import { settingsCommand } from "./settings.ts";
import { signalsCommand } from "./signals.ts";
import { storeCommand } from "./store.ts";
import { trailCommand } from "./trail.ts";
import { unitCommand } from "./unit.ts";
import { watchCommand } from "./watch.ts";
import { workCommand } from "./work.ts";

/** The whole command line. Each command is a file of its own beside this one. */
export function program(context: CommandContext): Command {
  const root = new Command("springtide")
    .description(
      "Watches the calibration checks of rotational viscometers: which units will leave tolerance before their next service, why, and what to do.",
    )
    .showHelpAfterError("(springtide --help lists the commands, springtide COMMAND --help its options)")
    .exitOverride()
    .configureOutput({
      writeOut: context.print,
      writeErr: (text) => context.say(text.trimEnd()),
    });
  for (const command of [
    ingestCommand,
    heldCommand,
    watchCommand,
    forecastCommand,
    unitCommand,
    signalsCommand,
    fluidsCommand,
    backtestCommand,
    bookingsCommand,
    intervalsCommand,
    findingsCommand,
    noteCommand,
    reportCommand,
    settingsCommand,
    peopleCommand,
    noticesCommand,
    trailCommand,
    backupCommand,
    restoreCommand,
    storeCommand,
    workCommand,
    serveCommand,
    demoCommand,
  ]) {
    const made = command(context).copyInheritedSettings(root);
    for (const form of made.commands) form.copyInheritedSettings(root);
    root.addCommand(made);
  }
  return root;
}
