import { FOLDED_END, foldBeyondBank } from "../page-models/bank-scale.ts";
import type { FleetPicture, FleetStroke } from "../page-models/fleet-picture.ts";
import { fleetMarkTip, PAST_DUE } from "../wording/fleet.ts";
import type { Chart, Layer, Row } from "./chart.ts";
import { type Box, placeLabels } from "./place-labels.ts";
import {
  COLOUR,
  channel,
  LETTER_PX,
  level,
  OWN_COLOUR,
  placed,
  type SizeName,
  STATE_COLOUR,
  TIME_PARAMETERS,
  timeAcross,
  timeValues,
  WIDTHS,
} from "./theme.ts";

const HEIGHT: Readonly<Record<SizeName, number>> = { narrow: 330, middle: 320, wide: 340 };
const MOST_LABELS: Readonly<Record<SizeName, number>> = { narrow: 7, middle: 14, wide: 26 };
const MOST_MONTHS: Readonly<Record<SizeName, number>> = { narrow: 6, middle: 12, wide: 20 };
/** Room at both ends, as a share of the time shown, so that no sign is cut. */
const END_ROOM = 0.018;
/** The name of a bank takes this share of its length. */
const NAME_SHARE = { narrow: 0.5, middle: 0.28, wide: 0.2 } as const;
const STROKE_FROM_PX = 1.2;
const STROKE_TO_PX = 5;
const SIGNS = ["out", "up", "down", "leaning", "steady"];
const SHAPES = ["square", "triangle-up", "triangle-down", "circle", "circle"];

/** Every unit on its due date, from where its worst band stands to where it is expected at the service. */
export function fleetChart(picture: FleetPicture, size: SizeName): Chart {
  const room = (picture.toDay - picture.fromDay) * END_ROOM;
  const [first, last] = [picture.fromDay - room, picture.toDay + room];
  const todayPx = picture.pastDue > 0 ? ((picture.asOfDay - first) / (last - first)) * WIDTHS[size] : 0;
  const banks = bankNames(picture, size, todayPx);
  return {
    shape: `fleet ${size}`,
    spec: fleetSpec(size),
    values: timeValues(first, last, MOST_MONTHS[size], firstMonthDay(picture, size, first, last)),
    data: {
      heaps: picture.heaps.map(({ placeDay, atService, units, state, direction }) => ({
        day: placeDay,
        y: foldBeyondBank(atService),
        units,
        sign: signOf(state, direction),
        colour: STATE_COLOUR[state],
      })),
      strokes: picture.strokes.flatMap(strokeRows),
      units: picture.strokes.map(signRow),
      labels: labelRows(picture, banks, size, [first, last], todayPx),
      // Days to the left of it are no dates: those past due stand there side by side.
      today: picture.pastDue > 0 ? [{ day: picture.asOfDay, text: PAST_DUE }] : [],
      banks: banks.map((name) => ({ ...name })),
    },
  };
}

function fleetSpec(size: SizeName): Layer {
  const y = {
    field: "y",
    type: "quantitative",
    title: null,
    scale: { domain: [-FOLDED_END, FOLDED_END], nice: false },
    axis: { labels: false, ticks: false },
  };
  const signShape = { field: "sign", type: "nominal", scale: { domain: SIGNS, range: SHAPES } };
  const text = (name: string, mark: Layer): Layer => ({
    data: { name },
    mark: { type: "text", baseline: "middle", align: { expr: "datum.align" }, ...mark },
    encoding: { x: placed("x"), y: placed("y"), text: { field: "text" } },
  });
  return {
    width: WIDTHS[size],
    height: HEIGHT[size],
    // The water reaches both edges of the page; only the months need room.
    padding: { left: 0, right: 0, top: 0, bottom: 28 },
    autosize: { type: "none" },
    params: TIME_PARAMETERS,
    view: { fill: COLOUR.bank, cornerRadius: 6 },
    encoding: { x: timeAcross(true) },
    layer: [
      channel(-1, 1, COLOUR.water),
      channel(-0.5, 0.5, COLOUR.deep),
      level(0, COLOUR.truth),
      text("banks", { fontStyle: "italic", fill: COLOUR.soft }),
      {
        name: "heaps",
        data: { name: "heaps" },
        mark: { type: "point", filled: true, opacity: 0.5 },
        encoding: {
          y,
          shape: signShape,
          size: { field: "units", type: "quantitative", scale: { type: "sqrt", zero: true, range: [0, 90] } },
          fill: OWN_COLOUR,
        },
      },
      {
        name: "strokes",
        data: { name: "strokes" },
        mark: { type: "trail", opacity: 0.75 },
        encoding: {
          y,
          detail: { field: "instrument" },
          size: { field: "width", type: "quantitative", scale: null },
          fill: OWN_COLOUR,
        },
      },
      {
        name: "units",
        data: { name: "units" },
        mark: { type: "point", strokeWidth: 1.4, opacity: 1 },
        encoding: {
          y,
          shape: signShape,
          size: { field: "area", type: "quantitative", scale: null },
          stroke: OWN_COLOUR,
          fill: { field: "inside", type: "nominal", scale: null },
        },
      },
      text("labels", { fontWeight: 600 }),
      {
        data: { name: "today" },
        mark: { type: "rule", stroke: COLOUR.soft, strokeWidth: 1.2, opacity: 0.7 },
      },
      {
        data: { name: "today" },
        mark: { type: "text", align: "left", baseline: "top", dy: 8, fill: COLOUR.soft },
        encoding: { x: { value: 2 }, y: { value: HEIGHT[size] }, text: { field: "text" } },
      },
    ],
  };
}

function signRow(stroke: FleetStroke): Row {
  const { instrument, state, placeDay, now, atService } = stroke;
  const colour = STATE_COLOUR[state];
  return {
    day: placeDay,
    y: foldBeyondBank(atService),
    sign: signOf(state, atService >= now ? 1 : -1),
    area: state === "steady" ? 26 : 54,
    colour,
    inside: state === "steady" ? COLOUR.deep : colour,
    tip: fleetMarkTip(stroke),
    href: `/units/${encodeURIComponent(instrument)}`,
  };
}

function signOf(state: FleetStroke["state"], direction: 1 | -1): string {
  if (state !== "heading-out") return state;
  return direction === 1 ? "up" : "down";
}

function strokeRows({ instrument, state, placeDay, now, atService }: FleetStroke): Row[] {
  const own = { instrument, colour: STATE_COLOUR[state], day: placeDay };
  return [
    { ...own, y: foldBeyondBank(now), width: STROKE_FROM_PX },
    { ...own, y: foldBeyondBank(atService), width: STROKE_TO_PX },
  ];
}

function labelRows(
  { strokes }: FleetPicture,
  banks: readonly BankName[],
  size: SizeName,
  [first, last]: readonly [number, number],
  todayPx: number,
): Row[] {
  const [width, height] = [WIDTHS[size], HEIGHT[size]];
  const down = (errorOverTolerance: number): number =>
    (1 - (foldBeyondBank(errorOverTolerance) / FOLDED_END + 1) / 2) * height;
  const marks = strokes.filter(({ state }) => state !== "steady");
  return placeLabels(
    marks.map((stroke) => ({
      x: ((stroke.placeDay - first) / (last - first)) * width,
      y: down(stroke.atService),
      fromY: down(stroke.now),
      text: stroke.instrument,
      rank: rankOf(stroke),
    })),
    {
      width,
      height,
      most: MOST_LABELS[size],
      letterPx: LETTER_PX,
      taken: [...banks.map(bankNameBox), { left: todayPx - 2, right: todayPx + 2, top: 0, bottom: height }],
    },
  ).map((label) => ({ ...label }));
}

/** Labels go to the worst first; leaning units have none. */
function rankOf({ state, chance }: FleetStroke): number | null {
  if (state === "out") return 2 + chance;
  return state === "heading-out" ? 1 + chance : null;
}

/** Months begin where the dates do, and clear of what stands below those past due. */
function firstMonthDay(
  { asOfDay, pastDue }: FleetPicture,
  size: SizeName,
  first: number,
  last: number,
): number {
  if (pastDue === 0) return first;
  const room = PAST_DUE.length * LETTER_PX + 8;
  return Math.max(asOfDay, first + (room / WIDTHS[size]) * (last - first));
}

interface BankName {
  readonly text: string;
  readonly x: number;
  readonly y: number;
  readonly align: "left" | "right";
}

function bankNameBox({ text, x, y, align }: BankName): Box {
  const length = text.length * LETTER_PX;
  const left = align === "left" ? x : x - length;
  return { left, right: left + length, top: y - 8, bottom: y + 8 };
}

/** What the banks are, said in the picture itself, at the end where fewer units have run aground. */
function bankNames(picture: FleetPicture, size: SizeName, left: number): BankName[] {
  const { strokes, fromDay, toDay } = picture;
  const reach = (toDay - fromDay) * NAME_SHARE[size];
  const name = (text: string, y: number, bank: 1 | -1): BankName => {
    const aground = strokes.filter(({ atService }) => atService * bank > 0.95);
    const early = aground.filter(({ placeDay }) => placeDay < fromDay + reach).length;
    const late = aground.filter(({ placeDay }) => placeDay > toDay - reach).length;
    return early <= late
      ? { text, y, x: left + 12, align: "left" }
      : { text, y, x: WIDTHS[size] - 12, align: "right" };
  };
  return [
    name("reads high, out of tolerance", 15, 1),
    name("reads low, out of tolerance", HEIGHT[size] - 14, -1),
  ];
}
