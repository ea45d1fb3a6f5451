import { text } from "node:stream/consumers";

/** What a command may touch of the world, so that tests can stand in for it. */
export interface CommandContext {
  /** Standard output: results only. */
  readonly print: (text: string) => void;
  /** Standard error, one line: progress and messages. */
  readonly say: (line: string) => void;
  /** Shows a passing line on a terminal; null where standard error is not one. */
  readonly progress: ((line: string) => void) | null;
  readonly now: () => number;
  readonly env: Readonly<Record<string, string | undefined>>;
  /** All of standard input. */
  readonly readInput: () => Promise<string>;
  /** Resolves when the user asks the program to stop. */
  readonly untilStopped: () => Promise<void>;
  /** Set by a command that ran to its end but could not do all: 1. */
  exitCode: number;
}

export function processContext(): CommandContext {
  let passing = false;
  const endPassing = () => {
    if (passing) process.stderr.write("\r\x1b[K");
    passing = false;
  };
  // A reader that closes the pipe early ("| head") has what it wanted.
  process.stdout.on("error", (error: NodeJS.ErrnoException) => {
    if (error.code === "EPIPE") process.exit(0);
    throw error;
  });
  return {
    print: (result) => {
      endPassing();
      process.stdout.write(result);
    },
    say: (line) => {
      endPassing();
      process.stderr.write(`${line}\n`);
    },
    progress: process.stderr.isTTY
      ? (line) => {
          passing = true;
          process.stderr.write(`\r\x1b[K${line.slice(0, (process.stderr.columns ?? 80) - 1)}`);
        }
      : null,
    now: Date.now,
    env: process.env,
    readInput: () => text(process.stdin),
    untilStopped: () =>
      new Promise((resolve) => {
        process.once("SIGINT", () => resolve());
        process.once("SIGTERM", () => resolve());
      }),
    exitCode: 0,
  };
}
