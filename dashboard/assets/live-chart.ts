import { type Loader, parse, type Spec, View } from "vega";
import { expressionInterpreter } from "vega-interpreter";
import { followMarks } from "./follow-marks.ts";
import { marksIn } from "./live-marks.ts";

const refusal = (): Promise<never> => Promise.reject(new Error("charts load nothing"));
const refusingLoader: Loader = { load: refusal, sanitize: refusal, http: refusal, file: refusal };

/**
 * Puts a live chart in the place of the drawn one, of the same size: each mark tells its figures to pointer and
 * keyboard, and the marks of one check light up together.
 */
export async function makeLive(drawing: HTMLElement): Promise<void> {
  const shown = [...drawing.children].find((child) => child.clientWidth > 0) as HTMLElement | undefined;
  if (shown === undefined) return;
  const size = shown.className.replace("size-", "");
  const address = `${drawing.dataset.chart}${size === "only" ? "" : `?size=${size}`}`;
  const answer = await fetch(address);
  if (!answer.ok) return;
  const dataflow = parse((await answer.json()) as Spec, undefined, { ast: true });
  const host = document.createElement("div");
  const view = new View(dataflow, {
    renderer: "svg",
    container: host,
    loader: refusingLoader,
    expr: expressionInterpreter,
    tooltip: () => undefined,
  });
  await view.runAsync();
  const svg = host.querySelector("svg");
  if (svg === null) return;
  svg.ariaHidden = "true";
  shown.replaceChildren(svg);
  followMarks(drawing, marksIn(svg));
}
