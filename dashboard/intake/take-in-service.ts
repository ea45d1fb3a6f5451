import { mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { type IngestReport, ingestPaths, type ServiceRecord } from "../../ingest/index.ts";
import type { IntakeDesk } from "./desk.ts";

/** Takes one service in by the same way as every file: as a small one whose name says by whom it was recorded. */
export async function takeInService(
  { store, now, takeIn }: IntakeDesk,
  { instrument, servicedAt, action }: ServiceRecord,
  by: string,
): Promise<IngestReport> {
  const folder = await mkdtemp(join(tmpdir(), "springtide-return-"));
  try {
    const path = join(folder, "services.json");
    const row = { instrument, serviced_at: servicedAt, action };
    await writeFile(path, JSON.stringify([row]));
    const name = `return of ${plain(instrument)} recorded by ${plain(by)}.json`;
    return takeIn === undefined
      ? await ingestPaths(store, [path], { now, nameOf: () => name })
      : await takeIn(folder, [path], () => name);
  } finally {
    await rm(folder, { recursive: true, force: true });
  }
}

/** Without what would make a path or a line of it. */
function plain(text: string): string {
  return text.replace(/[\p{C}/\\]+/gu, "-").slice(0, 60);
}
