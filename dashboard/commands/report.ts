import { Command } from "commander";
import type { CommandContext } from "./context.ts";
import { CommandError } from "./errors.ts";
import { addLookOptions, type LookOptions } from "./look.ts";
import { asOfDay, withStore } from "./options.ts";

interface ReportOptions extends LookOptions {
  readonly out: string;
}

/** `springtide report`: the evidence pack, one page that needs no other file, and its figures as CSV. */
export function reportCommand(context: CommandContext): Command {
  const command = new Command("report")
    .description("the evidence pack: one self-contained page, and its figures as CSV beside it")
    .requiredOption(
      "--out <FILE>",
      "(required) the page to write, such as evidence.html; folders on the way to it are made",
    )
    .action(async (options: ReportOptions) => {
      const asOf = asOfDay(context, options);
      // Loaded only here: drawing takes a second that no other command should wait for.
      const [{ gatherEvidence }, { writePack }] = await Promise.all([
        import("../report/gather.ts"),
        import("../report/write-pack.ts"),
      ]);
      const pack = await withStore(context, options, "existing", (store) =>
        gatherEvidence(store, asOf, context.now()),
      );
      const files = await writePack(pack, options.out).catch((error: NodeJS.ErrnoException) => {
        if (typeof error.code !== "string") throw error;
        throw new CommandError(`${options.out} cannot be written: ${error.code}`);
      });
      context.print(
        options.json ? `${JSON.stringify({ as_of: asOf, files })}\n` : `Written:\n${files.join("\n")}\n`,
      );
    });
  return addLookOptions(command);
}
