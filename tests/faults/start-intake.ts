import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { createInterface } from "node:readline";
import { fileURLToPath } from "node:url";
import type { IngestReport } from "../../ingest/index.ts";

/** What an intake came to, and the most memory that its process held. */
export interface IntakeOutcome extends IngestReport {
  /** Resident set. Unit: MiB. */
  readonly mostMiB: number;
}

/** An intake under way in another process. */
export interface RunningIntake {
  readonly child: ChildProcess;
  /** Resolves when the program is loaded and about to open the store. */
  readonly loaded: Promise<unknown>;
  /** What it came to; null where it was killed. */
  readonly done: Promise<IntakeOutcome | null>;
}

const PROGRAM = fileURLToPath(new URL("./intake-process.ts", import.meta.url));

export function startIntake(url: string, folder: string): RunningIntake {
  const child = spawn(process.execPath, [PROGRAM, url, folder], {
    stdio: ["ignore", "pipe", "inherit"],
    // A hundred starts of the same program: what one has compiled serves the others.
    env: { ...process.env, NODE_COMPILE_CACHE: join(tmpdir(), "springtide-compile-cache") },
  });
  const lines = createInterface(child.stdout);
  const said: string[] = [];
  lines.on("line", (line) => said.push(line));
  return {
    child,
    loaded: once(lines, "line"),
    done: once(child, "close").then(() =>
      said[1] === undefined ? null : (JSON.parse(said[1]) as IntakeOutcome),
    ),
  };
}
