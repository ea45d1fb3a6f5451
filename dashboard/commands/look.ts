import type { Command } from "commander";
import type { Store } from "../../ingest/index.ts";
import type { CommandContext } from "./context.ts";
import {
  type AsOfOption,
  addAsOfOption,
  addJsonOption,
  addStoreOption,
  asOfDay,
  type JsonOption,
  type StoreOption,
  withStore,
} from "./options.ts";

/** Options of every command that looks at a store as of a day and changes nothing in it. */
export type LookOptions = StoreOption & JsonOption & AsOfOption;

export function addLookOptions(command: Command): Command {
  return addJsonOption(addAsOfOption(addStoreOption(command)));
}

/** What such a command finds, and its two prints. */
export interface Look<T> {
  find(store: Store, asOf: string): Promise<T>;
  /** The document that `--json` prints. */
  report(found: T): unknown;
  words(found: T): string;
}

export async function printLook<T>(
  context: CommandContext,
  options: LookOptions,
  { find, report, words }: Look<T>,
): Promise<void> {
  const asOf = asOfDay(context, options);
  const found = await withStore(context, options, "existing", (store) => find(store, asOf));
  context.print(options.json ? `${JSON.stringify(report(found))}\n` : words(found));
}
