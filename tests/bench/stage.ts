import { STAGES, type StageName } from "./stages.ts";

// One stage of the benchmark in a process of its own: node tests/bench/stage.ts NAME FILES STORE DAY. Answers with one
// line of JSON, its own peak of memory included (MB).

const [name, files, store, asOf] = process.argv.slice(2);
const measured = await STAGES[name as StageName]({ files: files!, store: store!, asOf: asOf! });
const peakMB = process.resourceUsage().maxRSS / 1000;
process.stdout.write(`${JSON.stringify({ ...measured, peakMB })}\n`);
process.exit();
