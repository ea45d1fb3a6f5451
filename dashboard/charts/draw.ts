import { type Loader, type LoggerInterface, parse, type Runtime, type Spec, View } from "vega";
import { expressionInterpreter } from "vega-interpreter";
import { compile, type TopLevelSpec } from "vega-lite";
import { numberForm } from "../wording/number-form.ts";
import type { Chart } from "./chart.ts";
import { CONFIG } from "./theme.ts";

interface Compiled {
  readonly vega: Spec;
  readonly dataflow: Runtime;
}

const compiledShapes = new Map<string, Compiled>();

/**
 * Draws a chart as SVG text. Without eval: expressions are interpreted, so that the browser, which must not
 * evaluate text, shows the same.
 */
export async function drawChart(chart: Chart): Promise<string> {
  const { dataflow } = compiledShape(chart);
  const view = new View(dataflow, {
    renderer: "none",
    loader: refusingLoader,
    expr: expressionInterpreter,
  });
  for (const [name, value] of Object.entries(chart.values)) view.signal(name, value);
  // Vega marks the rows it is given, so each view has its own.
  for (const [name, rows] of Object.entries(chart.data))
    view.data(
      name,
      rows.map((row) => ({ ...row })),
    );
  try {
    return await view.toSVG();
  } finally {
    view.finalize();
  }
}

/** The whole chart in Vega, rows and values in their places: what the browser needs to draw the same. */
export function liveSpecification(chart: Chart): Spec {
  const { vega } = compiledShape(chart);
  return {
    ...vega,
    data: vega.data?.map((set) => (set.name in chart.data ? { ...set, values: chart.data[set.name] } : set)),
    signals: vega.signals?.map((signal) =>
      signal.name in chart.values ? { ...signal, value: chart.values[signal.name] } : signal,
    ),
  } as Spec;
}

/** Numbers beside the axes, as the reader writes them. */
function axisNumbers() {
  const { decimal, group } = numberForm();
  return { decimal, thousands: group, grouping: [3], currency: ["", ""] as [string, string] };
}

function compiledShape({ shape, spec }: Chart): Compiled {
  const key = `${shape} ${numberForm().name}`;
  const known = compiledShapes.get(key);
  if (known !== undefined) return known;
  const { spec: plain } = compile({ ...spec, config: CONFIG } as unknown as TopLevelSpec, {
    logger: doubting,
  });
  const vega = { ...plain, config: { ...plain.config, locale: { number: axisNumbers() } } } as Spec;
  const made = { vega, dataflow: parse(vega, undefined, { ast: true }) };
  compiledShapes.set(key, made);
  return made;
}

/** What a chart may ask for from outside: nothing. */
const refuse = (): Promise<never> => Promise.reject(new Error("charts load nothing"));
const refusingLoader: Loader = { load: refuse, sanitize: refuse, http: refuse, file: refuse };

/** A doubt of the compiler about a specification is a defect of ours. */
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
