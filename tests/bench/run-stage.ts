import { execFile } from "node:child_process";
import { fileURLToPath } from "node:url";
import { promisify } from "node:util";
import type { Place, STAGES, StageName } from "./stages.ts";

/** What a stage measured, and the most memory that it held at once. */
export type Measured<Name extends StageName> = Awaited<ReturnType<(typeof STAGES)[Name]>> & {
  readonly peakMB: number;
};

/** Runs one stage in a process of its own. */
export async function runStage<Name extends StageName>(
  name: Name,
  { files, store, asOf }: Place,
): Promise<Measured<Name>> {
  const stage = fileURLToPath(new URL("./stage.ts", import.meta.url));
  const { stdout } = await promisify(execFile)(process.execPath, [stage, name, files, store, asOf], {
    maxBuffer: 1_048_576,
  });
  return JSON.parse(stdout) as Measured<Name>;
}
