import { type Loader, type LoggerInterface, parse, View } from "vega";
import { expressionInterpreter } from "vega-interpreter";
import { compile, type TopLevelSpec } from "vega-lite";
import { CONFIG } from "./theme.ts";

/** What a chart may ask for from outside: nothing. */
const refusingLoader: Loader = {
  load: () => Promise.reject(new Error("charts load nothing")),
  sanitize: () => Promise.reject(new Error("charts link to nothing")),
  http: () => Promise.reject(new Error("charts load nothing")),
  file: () => Promise.reject(new Error("charts load nothing")),
};

/** A chart's specification in Vega-Lite, before the theme. */
export type ChartSpec = Readonly<Record<string, unknown>>;

/**
 * The specification in Vega, themed: what both the server and the browser draw.
 *
 * @throws {Error} where the compiler has a doubt about the specification: that is a defect of ours.
 */
export function compileChart(spec: ChartSpec): ReturnType<typeof compile>["spec"] {
  return compile({ ...spec, config: CONFIG } as unknown as TopLevelSpec, { logger: doubting }).spec;
}

function doubt(...messages: readonly unknown[]): never {
  throw new Error(`chart specification: ${messages.join(" ")}`);
}

const doubting: LoggerInterface = {
  level: (() => doubting) as LoggerInterface["level"],
  error: doubt,
  warn: doubt,
  info: () => doubting,
  debug: () => doubting,
};

/**
 * Draws a chart as SVG text. Without eval: expressions are interpreted, so that the browser, which must not
 * evaluate text, shows the same.
 */
export async function drawChart(spec: ChartSpec): Promise<string> {
  const dataflow = parse(compileChart(spec), undefined, { ast: true });
  const view = new View(dataflow, { renderer: "none", loader: refusingLoader, expr: expressionInterpreter });
  try {
    return await view.toSVG();
  } finally {
    view.finalize();
  }
}
