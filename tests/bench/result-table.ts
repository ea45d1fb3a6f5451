import type { STAGES } from "./stages.ts";
import { median } from "./timing.ts";

type Stages = typeof STAGES;

/** What was measured at one size; every stage once or more often. */
export type SizeResult = { readonly units: number } & {
  readonly [Name in keyof Stages]: (Awaited<ReturnType<Stages[Name]>> & { readonly peakMB: number })[];
};

/** The figures of one size as a Markdown table; times are medians. */
export function resultTable(result: SizeResult): string {
  const { rows, csvBytes, storeBytes } = result.intake[0]!;
  const { readings, bytes } = result.load[0]!;
  const server = result.server[0]!;
  const seconds = (stage: "intake" | "engine" | "analysis" | "bare" | "load" | "learn") =>
    median(result[stage].map((run) => run.seconds));
  const peak = (stage: "intake" | "analysis") =>
    `${Math.max(...result[stage].map((run) => run.peakMB)).toFixed(0)} MB`;
  const ratio = (stage: "intake" | "analysis", floor: "engine" | "bare") =>
    `${median(result[stage].map((run, i) => run.seconds / result[floor][i]!.seconds)).toFixed(1)} x`;
  const intake = seconds("intake");
  return table([
    [
      `${result.units} units, ${rows} rows, ${(csvBytes / 1e6).toFixed(0)} MB`,
      "measured",
      "goal at 10,000 units",
    ],
    [
      "intake",
      `${inWords(intake)}: ${thousands(rows / intake)} rows/s, ${(csvBytes / 1e6 / intake).toFixed(0)} MB/s`,
      "150,000 rows/s",
    ],
    ["floor: an engine's read into its own table", inWords(seconds("engine")), ""],
    ["intake / floor", ratio("intake", "engine"), "3 x"],
    ["memory of intake", peak("intake"), "400 MB"],
    ["store file", `${(storeBytes / rows).toFixed(0)} bytes a row`, "100 bytes"],
    ["full analysis", inWords(seconds("analysis")), "15 s"],
    ["of which loading", inWords(seconds("load")), ""],
    ["of which learning the fleet", inWords(seconds("learn")), ""],
    ["floor: filter and mixture in bare loops", inWords(seconds("bare")), ""],
    ["analysis / floor", ratio("analysis", "bare"), "3 x"],
    ["memory of analysis", peak("analysis"), "2,000 MB"],
    [
      "floor: the columns of the readings",
      `${(bytes / readings) | 0} bytes each, ${(bytes / 1e6).toFixed(0)} MB`,
      "",
    ],
    ["server: until the first look is there", inWords(server.firstLook), ""],
    ["a unit's new file until its page has the forecast, median", inWords(server.update), "300 ms"],
    ["the same, slowest of nine", inWords(server.slowestUpdate), ""],
    ["table of units, any order and filter, median", inWords(server.page), "50 ms"],
    ["front page", inWords(server.today), ""],
  ]);
}

function table(rows: readonly (readonly string[])[]): string {
  const line = (cells: readonly string[]) => `| ${cells.join(" | ")} |`;
  return [line(rows[0]!), "|---|---|---|", ...rows.slice(1).map(line)].join("\n");
}

function inWords(seconds: number): string {
  return seconds < 1 ? `${(seconds * 1000).toPrecision(2)} ms` : `${seconds.toPrecision(3)} s`;
}

function thousands(value: number): string {
  return (Math.round(value / 1000) * 1000).toLocaleString("en");
}
