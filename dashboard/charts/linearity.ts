import type { LinearityView } from "../assessment/views.ts";
import type { Linearity } from "../page-models/linearity.ts";
import { date } from "../wording/dates.ts";
import { decimal, signed } from "../wording/numbers.ts";
import type { ChartSpec } from "./draw.ts";
import { COLOUR, level, STATE_COLOUR } from "./theme.ts";

export const LINEARITY_WIDTH = 450;
const PLOT = { width: 360, height: 270 };
/** Two names at the ends of two lines need this much room between them. Unit: px. */
const NAME_ROOM = 15;
/** Nothing can be judged below this torque. Unit: % of full scale. */
const WEAKEST_TORQUE = 10;

/** Error on expected torque: the water widens with torque, as tolerance does; as left and now as lines with bands. */
export function linearityChart(model: Linearity): ChartSpec {
  const x = {
    field: "torque",
    type: "quantitative",
    scale: { domain: [0, 100], nice: false },
    axis: { values: [10, 30, 50, 70, 100], title: "expected torque, % of full scale" },
  };
  const y = {
    field: "error",
    type: "quantitative",
    title: null,
    scale: { domain: [-model.reach, model.reach], nice: false },
    axis: {
      values: [-3, -2, -1, 0, 1, 2, 3].filter((v) => Math.abs(v) < model.reach),
      labelExpr: "(datum.value > 0 ? '+' : '') + replace(datum.label, '-', '\u2212')",
      title: "error, % of full scale",
      ticks: false,
    },
  };
  const now = STATE_COLOUR[model.state === "unjudged" ? "steady" : model.state];
  const nowColour = model.state === "steady" || model.state === "unjudged" ? COLOUR.ink : now;
  const water = model.tolerance.torque.map((torque, i) => ({
    torque,
    high: model.tolerance.tolerance[i],
    low: -model.tolerance.tolerance[i]!,
  }));
  return {
    ...PLOT,
    padding: 4,
    view: { fill: COLOUR.bank, cornerRadius: 4 },
    encoding: { x },
    layer: [
      {
        data: { values: water },
        mark: { type: "area", fill: COLOUR.water },
        encoding: { y: { field: "high", type: "quantitative" }, y2: { field: "low" } },
      },
      level(0, COLOUR.truth),
      ...line("left", model.asLeft, COLOUR.steady, y),
      {
        name: "own",
        data: {
          values: model.points
            .filter(({ error }) => Math.abs(error) <= model.reach)
            .map((point) => ({
              ...point,
              tip: `${date(point.day)}\n${signed(point.error, 2)} % of full scale at ${decimal(point.torque, 0)} % torque`,
            })),
        },
        mark: { type: "circle", fill: nowColour, size: 13, opacity: 0.55 },
        encoding: { y },
      },
      ...line("now", model.now, nowColour, y),
      {
        data: { values: [{}] },
        mark: { type: "rect", fill: COLOUR.paper, opacity: 0.72 },
        encoding: {
          x: { datum: 0 },
          x2: { datum: WEAKEST_TORQUE },
          y: { value: 0 },
          y2: { value: PLOT.height },
        },
      },
      ...endNames(model, nowColour),
    ],
  };
}

function line(
  name: string,
  view: LinearityView | null,
  colour: string,
  y: Record<string, unknown>,
): Record<string, unknown>[] {
  if (view === null) return [];
  const { torque, mean, lower, upper } = view.curve;
  const rows = torque.map((at, i) => ({ torque: at, error: mean[i], lower: lower[i], upper: upper[i] }));
  return [
    {
      name: `${name}band`,
      data: { values: rows },
      mark: { type: "area", fill: colour, opacity: 0.2, clip: true },
      encoding: { y: { field: "lower", type: "quantitative" }, y2: { field: "upper" } },
    },
    {
      name: `${name}line`,
      data: { values: rows },
      mark: {
        type: "line",
        stroke: colour,
        strokeWidth: 2.2,
        clip: true,
        ...(name === "left" ? { strokeDash: [6, 3] } : {}),
      },
      encoding: { y },
    },
  ];
}

/** "as left" and "now" at the ends of their lines, moved apart where they would touch. */
function endNames({ asLeft, now, reach }: Linearity, nowColour: string): Record<string, unknown>[] {
  const toPx = (error: number): number =>
    Math.max(8, Math.min(PLOT.height - 8, (1 - error / reach) * (PLOT.height / 2)));
  const leftEnd = asLeft?.curve.mean.at(-1);
  const nowEnd = now?.curve.mean.at(-1);
  let leftY = leftEnd === undefined ? null : toPx(leftEnd);
  let nowY = nowEnd === undefined ? null : toPx(nowEnd);
  if (leftY !== null && nowY !== null && Math.abs(leftY - nowY) < NAME_ROOM) {
    const middle = (leftY + nowY) / 2;
    const up = nowY < leftY ? -1 : 1;
    nowY = middle + (up * NAME_ROOM) / 2;
    leftY = middle - (up * NAME_ROOM) / 2;
  }
  const name = (text: string, y: number | null, fill: string): Record<string, unknown>[] =>
    y === null
      ? []
      : [
          {
            data: { values: [{}] },
            mark: { type: "text", text, align: "left", baseline: "middle", fontWeight: 600, fill },
            encoding: { x: { value: PLOT.width + 7 }, y: { value: y } },
          },
        ];
  return [...name("as left", leftY, COLOUR.steady), ...name("now", nowY, nowColour)];
}
