import { CommanderError } from "commander";
import { AnalysisError } from "../analysis/index.ts";
import { IngestError, StoreError } from "../ingest/index.ts";
import { type CommandContext, processContext } from "./commands/context.ts";
import { CommandError, UsageError } from "./commands/errors.ts";
import { program } from "./commands/program.ts";

/**
 * Runs one `springtide` command.
 *
 * @param argv The words after `springtide`.
 * @returns The exit code. 0: done; 1: something could not be done, said in one line on standard error;
 *   2: the call's words are off.
 */
export async function main(
  argv: readonly string[],
  context: CommandContext = processContext(),
): Promise<number> {
  try {
    await program(context).parseAsync([...argv], { from: "user" });
    return context.exitCode;
  } catch (error) {
    if (error instanceof CommanderError) return error.exitCode === 0 ? 0 : 2;
    if (error instanceof UsageError) {
      context.say(`springtide: ${error.message}`);
      return 2;
    }
    if (error instanceof StoreError && error.code === "bad-store-address") {
      context.say(`springtide: ${error.message}`);
      return 2;
    }
    if (error instanceof CommandError || error instanceof IngestError || error instanceof AnalysisError) {
      context.say(`springtide: ${error.message}`);
      return 1;
    }
    throw error;
  }
}
