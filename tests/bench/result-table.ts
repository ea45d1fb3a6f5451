import type { Measured } from "./run-stage.ts";
import type { StageName } from "./stages.ts";
import { median } from "./timing.ts";

/** What was measured at one size; every stage once or more often. */
export type SizeResult = { readonly units: number } & {
  readonly [Name in StageName]: Measured<Name>[];
};

type Timed = "intake" | "engine" | "analysis" | "bare" | "load" | "learn";

/** The figures of one size as a Markdown table: medians of time by the clock and of processor time. */
export function resultTable(result: SizeResult): string {
  const { rows, csvBytes, storeBytes } = result.intake[0]!;
  const { readings, bytes } = result.load[0]!;
  const server = result.server[0]!;
  const seconds = (stage: Timed) => median(result[stage].map((run) => run.seconds));
  const time = (stage: Timed) => [
    inWords(seconds(stage)),
    inWords(median(result[stage].map((run) => run.cpuSeconds))),
  ];
  const ratio = (stage: Timed, floor: Timed) =>
    (["seconds", "cpuSeconds"] as const).map(
      (cost) => `${median(result[stage].map((run, i) => run[cost] / result[floor][i]![cost])).toFixed(1)} x`,
    );
  const peak = (stage: "intake" | "analysis") =>
    `${Math.max(...result[stage].map((run) => run.peakMB)).toFixed(0)} MB`;
  const each = (unit: string, value: number) => `${value.toFixed(0)} ${unit}`;
  return table([
    [
      `${result.units} units, ${rows} rows, ${each("MB", csvBytes / 1e6)}`,
      "by the clock",
      "processor",
      "goal at 10,000 units",
    ],
    ["intake", ...time("intake"), ""],
    ["rows a second", thousands(rows / seconds("intake")), "", "150,000"],
    ["megabytes a second", (csvBytes / 1e6 / seconds("intake")).toFixed(1), "", ""],
    ["floor: an engine reads the file into its own table", ...time("engine"), ""],
    ["intake / floor", ...ratio("intake", "engine"), "3 x"],
    ["memory of intake", peak("intake"), "", "400 MB"],
    ["store file", each("bytes a row", storeBytes / rows), "", "100 bytes"],
    ["full analysis", ...time("analysis"), "15 s"],
    ["of which loading", ...time("load"), ""],
    ["of which learning the fleet", ...time("learn"), ""],
    ["floor: filter and mixture in bare loops, one thread", ...time("bare"), ""],
    ["analysis / floor", ...ratio("analysis", "bare"), "3 x"],
    ["memory of analysis", peak("analysis"), "", "2,000 MB"],
    ["floor: the readings as columns", each("bytes each", bytes / readings), "", ""],
    ["server: until the first look is there", inWords(server.firstLook), "", ""],
    ["a unit's new file until its page has the forecast, median", inWords(server.update), "", "300 ms"],
    ["of which until it is stored, median", inWords(server.updateIntake), "", ""],
    ["the whole, slowest of nine", inWords(server.slowestUpdate), "", ""],
    ["table of units, any order and filter, median", inWords(server.page), "", "50 ms"],
    ["front page", inWords(server.today), "", ""],
  ]);
}

function table(rows: readonly (readonly string[])[]): string {
  const line = (cells: readonly string[]) => `| ${cells.join(" | ")} |`;
  return [line(rows[0]!), "|---|---|---|---|", ...rows.slice(1).map(line)].join("\n");
}

function inWords(seconds: number): string {
  return seconds < 1 ? `${(seconds * 1000).toPrecision(2)} ms` : `${seconds.toPrecision(3)} s`;
}

function thousands(value: number): string {
  return (Math.round(value / 1000) * 1000).toLocaleString("en");
}
