import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import type { CommandContext } from "../../../dashboard/commands/context.ts";
import { main } from "../../../dashboard/main.ts";

export interface Outcome {
  readonly exitCode: number;
  /** What standard output would hold. */
  readonly out: string;
  /** Lines of standard error. */
  readonly said: readonly string[];
}

export interface World {
  /** A folder of the test's own. */
  readonly folder: string;
  readonly store: string;
  /** Runs `springtide WORDS…` in this process on the world's store. */
  run(words: readonly string[], options?: RunOptions): Promise<Outcome>;
  remove(): void;
}

export interface RunOptions {
  readonly env?: Readonly<Record<string, string>>;
  /** What standard input holds. */
  readonly input?: string;
  /** Called when a server has printed its address; the server is stopped when it returns. */
  readonly whileServing?: (out: string) => Promise<void>;
}

/** A place to run commands in: an empty folder, a store in it, and a clock that stands at `now`. */
export function makeWorld(now: string): World {
  const folder = mkdtempSync(join(tmpdir(), "springtide-test-"));
  const store = `sqlite:${join(folder, "store.sqlite")}`;
  return {
    folder,
    store,
    run: async (words, options = {}) => {
      let out = "";
      const said: string[] = [];
      const context: CommandContext = {
        print: (text) => {
          out += text;
        },
        say: (line) => said.push(line),
        progress: null,
        now: () => Date.parse(now),
        env: { SPRINGTIDE_STORE: store, ...options.env },
        readInput: async () => options.input ?? "",
        untilStopped: async () => options.whileServing?.(out),
        exitCode: 0,
      };
      const exitCode = await main(words, context);
      return { exitCode, out, said };
    },
    remove: () => rmSync(folder, { recursive: true, force: true }),
  };
}
