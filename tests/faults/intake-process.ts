/**
 * An intake in a process of its own: `intake-process.ts STORE FOLDER`. Says "loaded" before it touches the store, and
 * at the end what it came to.
 */
import { ingestPaths, openStore } from "../../ingest/index.ts";
import type { IntakeOutcome } from "./start-intake.ts";

const [url = "", folder = ""] = process.argv.slice(2);
process.stdout.write("loaded\n");
const store = await openStore(url);
const { files, totals } = await ingestPaths(store, [folder], {
  now: () => Date.parse("2026-04-01T12:00:00Z"),
});
await store.close();
const outcome: IntakeOutcome = { files, totals, mostMiB: process.resourceUsage().maxRSS / 1024 };
process.stdout.write(`${JSON.stringify(outcome)}\n`);
