import type { Linearity, TorqueCurve } from "../page-models/linearity.ts";
import { torqueReadingTip } from "../wording/unit-charts.ts";
import type { Chart, Layer, Row } from "./chart.ts";
import { COLOUR, level, OWN_COLOUR, parameters, placed, STATE_COLOUR, STATE_INK } from "./theme.ts";

export const LINEARITY_WIDTH = 450;
const PLOT = { width: 360, height: 270 };
/** Two names at the ends of two lines need this much room between them. Unit: px. */
const NAME_ROOM = 15;
/** Nothing can be judged below this torque. Unit: % of full scale. */
const WEAKEST_TORQUE = 10;

/** Error on expected torque: the water widens with torque, as tolerance does; as left and now as lines with bands. */
export function linearityChart(model: Linearity): Chart {
  const { state, reach, tolerance, points } = model;
  // What leaves tolerance has its state's colour; what stays has none of its own.
  const nowColour = state === "steady" || state === "unjudged" ? COLOUR.ink : STATE_COLOUR[state];
  return {
    shape: "linearity",
    spec: SPEC,
    values: { reach },
    data: {
      water: tolerance.torque.map((torque, i) => ({
        torque,
        high: tolerance.tolerance[i],
        low: -tolerance.tolerance[i]!,
      })),
      left: lineRows(model.asLeft?.curve ?? null, COLOUR.steady, reach),
      now: lineRows(model.now, nowColour, reach),
      own: points
        .filter(({ error }) => Math.abs(error) <= reach)
        .map(({ torque, error, check, day }) => ({
          torque,
          error,
          check,
          colour: nowColour,
          tip: torqueReadingTip({ torque, error, day }),
        })),
      names: endNames(model, state === "leaning" ? STATE_INK.leaning : nowColour),
    },
  };
}

const Y: Layer = {
  field: "error",
  type: "quantitative",
  title: null,
  scale: { domain: { expr: "[-reach, reach]" }, nice: false },
  axis: {
    tickMinStep: 1,
    labelExpr: "(datum.value > 0 ? '+' : '') + replace(datum.label, '-', '\u2212')",
    title: "error, % of full scale",
    ticks: false,
  },
};

function line(name: string, mark: Layer): Layer[] {
  return [
    {
      data: { name },
      mark: { type: "area", opacity: 0.2 },
      encoding: { y: { ...Y, field: "lower" }, y2: { field: "upper" }, fill: OWN_COLOUR },
    },
    {
      data: { name },
      mark: { type: "line", strokeWidth: 2.2, ...mark },
      encoding: { y: Y, stroke: OWN_COLOUR },
    },
  ];
}

const SPEC: Layer = {
  ...PLOT,
  padding: 4,
  params: parameters("reach"),
  view: { fill: COLOUR.bank, cornerRadius: 4 },
  encoding: {
    x: {
      field: "torque",
      type: "quantitative",
      scale: { domain: [0, 100], nice: false },
      axis: { values: [10, 30, 50, 70, 100], title: "expected torque, % of full scale" },
    },
  },
  layer: [
    {
      data: { name: "water" },
      mark: { type: "area", fill: COLOUR.water },
      encoding: { y: { ...Y, field: "high" }, y2: { field: "low" } },
    },
    level(0, COLOUR.truth),
    ...line("left", { strokeDash: [6, 3] }),
    {
      name: "own",
      data: { name: "own" },
      mark: { type: "circle", size: 13, opacity: 0.55 },
      encoding: { y: Y, fill: OWN_COLOUR },
    },
    ...line("now", {}),
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
    {
      data: { name: "names" },
      mark: { type: "text", align: "left", baseline: "middle", fontWeight: 600 },
      encoding: { x: { value: PLOT.width + 7 }, y: placed("y"), text: { field: "text" }, fill: OWN_COLOUR },
    },
  ],
};

function lineRows(line: TorqueCurve | null, colour: string, reach: number): Row[] {
  if (line === null) return [];
  const within = (value: number): number => Math.max(-reach, Math.min(reach, value));
  return line.torque.map((torque, i) => ({
    torque,
    colour,
    error: within(line.mean[i]!),
    lower: within(line.lower[i]!),
    upper: within(line.upper[i]!),
  }));
}

/** "as left" and "now" at the ends of their lines, moved apart where they would touch. */
function endNames({ asLeft, now, reach }: Linearity, nowColour: string): Row[] {
  const down = (error: number): number =>
    Math.max(8, Math.min(PLOT.height - 8, (1 - error / reach) * (PLOT.height / 2)));
  const names = [
    { text: "as left", curve: asLeft?.curve ?? null, colour: COLOUR.steady },
    { text: "now", curve: now, colour: nowColour },
  ]
    .flatMap(({ text, curve, colour }) => {
      const end = curve?.mean.at(-1);
      return end === undefined ? [] : [{ text, colour, y: down(end) }];
    })
    .sort((a, b) => a.y - b.y);
  const [upper, lower] = names;
  if (upper === undefined || lower === undefined || lower.y - upper.y >= NAME_ROOM) return names;
  const middle = (upper.y + lower.y) / 2;
  return [
    { ...upper, y: middle - NAME_ROOM / 2 },
    { ...lower, y: middle + NAME_ROOM / 2 },
  ];
}
