import type { UnitState } from "../../analysis/index.ts";
import type { ReturnsPicture } from "../page-models/returns.ts";
import { type ReturnsQuery, returnsAddress } from "../page-models/returns-query.ts";
import { returnMarkTip } from "../wording/returns-page.ts";
import type { Chart, Layer } from "./chart.ts";
import {
  COLOUR,
  OWN_COLOUR,
  type SizeName,
  STATE_COLOUR,
  TIME_PARAMETERS,
  timeAcross,
  timeValues,
  WIDTHS,
} from "./theme.ts";

const HEIGHT: Readonly<Record<SizeName, number>> = { narrow: 200, middle: 210, wide: 220 };
const MOST_MONTHS: Readonly<Record<SizeName, number>> = { narrow: 6, middle: 12, wide: 20 };
/** The worse a unit stands the heavier its edge, so that it is not told by colour alone. Unit: px. */
const EDGE: Partial<Readonly<Record<UnitState, number>>> = { out: 2, "heading-out": 1 };
/** Shares of a week and of a place that a unit's block leaves free on each side. */
const SIDE_ROOM = 0.1;
const TOP_ROOM = 0.12;

/**
 * Every week's room as water, and the units booked into it as blocks, the worst at the bottom.
 *
 * @param query Where it stands: a block of several units leads to their week in the same plan.
 */
export function returnsChart({ weeks, blocks }: ReturnsPicture, query: ReturnsQuery, size: SizeName): Chart {
  const first = weeks[0]?.day ?? 0;
  const last = (weeks.at(-1)?.day ?? first) + 7;
  const most = Math.max(1, ...weeks.map(({ capacity, booked, due }) => Math.max(capacity, booked, due)));
  return {
    shape: `returns ${size}`,
    spec: returnsSpec(size),
    values: { ...timeValues(first, last, MOST_MONTHS[size]), most: most + 0.5 },
    data: {
      weeks: weeks.map(({ day, capacity }) => ({ day, end: day + 7, capacity })),
      due: weeks
        .filter(({ due }) => due > 0)
        .map(({ day, due }) => ({ day: day + 0.3, end: day + 6.7, due })),
      units: blocks.map((block) => ({
        day: block.day + 7 * SIDE_ROOM,
        end: block.day + 7 * (1 - SIDE_ROOM),
        from: block.from + TOP_ROOM,
        to: block.to - TOP_ROOM,
        colour: block.state === "steady" ? COLOUR.truth : STATE_COLOUR[block.state],
        edge: EDGE[block.state] ?? 0,
        tip: returnMarkTip(block),
        href:
          block.unit === null
            ? `${returnsAddress({ ...query, unit: null, all: false, page: 1, week: block.week })}#bookings`
            : `/units/${encodeURIComponent(block.unit.instrument)}`,
      })),
    },
  };
}

function returnsSpec(size: SizeName): Layer {
  const up = (field: string): Layer => ({
    field,
    type: "quantitative",
    title: null,
    scale: { domain: { expr: "[0, most]" }, nice: false },
    axis: { tickMinStep: 1, tickCount: 4, domain: false, ticks: false, format: "d" },
  });
  return {
    width: WIDTHS[size] - 24,
    height: HEIGHT[size],
    padding: { left: 24, right: 0, top: 4, bottom: 28 },
    autosize: { type: "none" },
    params: [...TIME_PARAMETERS, { name: "most", value: null }],
    encoding: { x: timeAcross(true), x2: { field: "end" } },
    layer: [
      {
        data: { name: "weeks" },
        mark: { type: "rect", fill: COLOUR.water },
        encoding: { y: up("capacity"), y2: { datum: 0 } },
      },
      {
        name: "units",
        data: { name: "units" },
        mark: { type: "rect", cornerRadius: 1.5, stroke: COLOUR.ink },
        encoding: {
          y: up("from"),
          y2: { field: "to" },
          fill: OWN_COLOUR,
          strokeWidth: { field: "edge", type: "quantitative", scale: null, legend: null },
        },
      },
      {
        data: { name: "due" },
        mark: { type: "rule", stroke: COLOUR.ink, strokeWidth: 1.6 },
        encoding: { y: up("due") },
      },
    ],
  };
}
