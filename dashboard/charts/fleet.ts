import { FOLDED_END, foldBeyondBank } from "../page-models/bank-scale.ts";
import type { FleetPicture, FleetStroke } from "../page-models/fleet-picture.ts";
import { date } from "../wording/dates.ts";
import { percent } from "../wording/numbers.ts";
import { BAND_LABEL, STATE_LABEL } from "../wording/states.ts";
import type { ChartSpec } from "./draw.ts";
import { placeLabels } from "./place-labels.ts";
import {
  COLOUR,
  channel,
  LETTER_PX,
  level,
  type SizeName,
  STATE_COLOUR,
  timeAcross,
  WIDTHS,
} from "./theme.ts";

const HEIGHT: Readonly<Record<SizeName, number>> = { narrow: 330, middle: 320, wide: 340 };
const MOST_LABELS: Readonly<Record<SizeName, number>> = { narrow: 7, middle: 14, wide: 26 };
const MOST_MONTHS: Readonly<Record<SizeName, number>> = { narrow: 6, middle: 12, wide: 20 };
/** Room at both ends, as a share of the time shown, so that no sign is cut. */
const END_ROOM = 0.018;
/** The name of a bank takes this share of its length. */
const NAME_SHARE = 0.2;
const STROKE_FROM_PX = 1.2;
const STROKE_TO_PX = 5;

/** Every unit on its due date, from where its worst band stands to where it is expected at the service. */
export function fleetChart(picture: FleetPicture, size: SizeName): ChartSpec {
  const room = (picture.toDay - picture.fromDay) * END_ROOM;
  const [first, last] = [picture.fromDay - room, picture.toDay + room];
  const x = timeAcross([first, last], { mostLabels: MOST_MONTHS[size] });
  const y = {
    field: "y",
    type: "quantitative",
    title: null,
    scale: { domain: [-FOLDED_END, FOLDED_END], nice: false },
    axis: { labels: false, ticks: false },
  };
  const width = WIDTHS[size];
  const height = HEIGHT[size];
  const signs = picture.strokes.map(signRow);
  const across = (day: number): number => ((day - first) / (last - first)) * width;
  const down = (errorOverTolerance: number): number =>
    (1 - (foldBeyondBank(errorOverTolerance) / FOLDED_END + 1) / 2) * height;
  const marks = picture.strokes.filter(({ state }) => state !== "steady");
  const labels = placeLabels(
    marks.map((stroke) => ({
      x: across(stroke.dueDay),
      y: down(stroke.atService),
      fromY: down(stroke.now),
      text: stroke.instrument,
      rank: rankOf(stroke),
    })),
    { width, height, most: MOST_LABELS[size], letterPx: LETTER_PX },
  );
  return {
    width,
    height,
    // The water reaches both edges of the page; only the months need room.
    padding: { left: 0, right: 0, top: 0, bottom: 28 },
    autosize: { type: "none" },
    view: { fill: COLOUR.bank, cornerRadius: 6 },
    encoding: { x },
    layer: [
      channel(-1, 1, COLOUR.water),
      channel(-0.5, 0.5, COLOUR.deep),
      level(0, COLOUR.truth),
      ...bankNames(picture, height),
      {
        name: "heaps",
        data: {
          values: picture.heaps.map((heap) => ({
            day: heap.dueDay,
            y: foldBeyondBank(heap.atService),
            units: heap.units,
          })),
        },
        mark: { type: "circle", fill: COLOUR.steady, opacity: 0.45 },
        encoding: {
          size: {
            field: "units",
            type: "quantitative",
            scale: { type: "linear", zero: true, range: [0, 140] },
          },
        },
      },
      {
        name: "strokes",
        data: { values: picture.strokes.flatMap(strokeRows) },
        mark: { type: "trail", opacity: 0.75 },
        encoding: {
          y,
          detail: { field: "instrument" },
          size: { field: "width", type: "quantitative", scale: null },
          color: stateColour(),
        },
      },
      {
        name: "units",
        data: { values: signs },
        mark: { type: "point", strokeWidth: 1.4, opacity: 1 },
        encoding: {
          y,
          shape: { field: "sign", type: "nominal", scale: { domain: SIGNS, range: SHAPES } },
          size: { field: "area", type: "quantitative", scale: null },
          stroke: stateColour(),
          fill: { condition: { test: "datum.state === 'steady'", value: COLOUR.deep }, ...stateColour() },
        },
      },
      ...labels.map((label) => ({
        data: { values: [{}] },
        mark: { type: "text", text: label.text, align: label.align, baseline: "middle", fontWeight: 600 },
        encoding: { x: { value: label.x }, y: { value: label.y } },
      })),
    ],
  };
}

/** What the banks are, said in the picture itself, at the end where fewer units have run aground. */
function bankNames({ strokes, fromDay, toDay }: FleetPicture, height: number): Record<string, unknown>[] {
  const name = (text: string, y: number, bank: 1 | -1): Record<string, unknown> => {
    const aground = strokes.filter(({ atService }) => atService * bank > 0.95);
    const early = aground.filter(({ dueDay }) => dueDay < fromDay + (toDay - fromDay) * NAME_SHARE).length;
    const late = aground.filter(({ dueDay }) => dueDay > toDay - (toDay - fromDay) * NAME_SHARE).length;
    const place = early <= late ? { align: "left", dx: 12, x: 0 } : { align: "right", dx: -12, x: "width" };
    return {
      data: { values: [{}] },
      mark: {
        type: "text",
        text,
        align: place.align,
        dx: place.dx,
        baseline: "middle",
        fontStyle: "italic",
        fill: COLOUR.soft,
      },
      encoding: { x: { value: place.x }, y: { value: y } },
    };
  };
  return [name("reads high, out of tolerance", 15, 1), name("reads low, out of tolerance", height - 14, -1)];
}

interface SignRow {
  readonly instrument: string;
  readonly state: FleetStroke["state"];
  readonly sign: string;
  readonly area: number;
  readonly day: number;
  readonly y: number;
  readonly tip: string;
  readonly href: string;
}

const SIGNS = ["out", "up", "down", "leaning", "steady"];
const SHAPES = ["square", "triangle-up", "triangle-down", "circle", "circle"];

function signRow(stroke: FleetStroke): SignRow {
  const direction = stroke.atService >= stroke.now ? "up" : "down";
  return {
    instrument: stroke.instrument,
    state: stroke.state,
    sign: stroke.state === "heading-out" ? direction : stroke.state,
    area: stroke.state === "steady" ? 26 : 54,
    day: stroke.dueDay,
    y: foldBeyondBank(stroke.atService),
    tip: tipOf(stroke),
    href: `/units/${encodeURIComponent(stroke.instrument)}`,
  };
}

function tipOf({ instrument, site, state, chance, dueDay, band }: FleetStroke): string {
  const where = site === null ? "" : ` \u00b7 ${site}`;
  return `${instrument}${where}\n${STATE_LABEL[state]}, ${percent(chance)} before its service on ${date(dueDay)}\n${BAND_LABEL[band]}`;
}

function strokeRows(stroke: FleetStroke): Record<string, unknown>[] {
  const { instrument, state, dueDay, now, atService } = stroke;
  return [
    { instrument, state, day: dueDay, y: foldBeyondBank(now), width: STROKE_FROM_PX },
    { instrument, state, day: dueDay, y: foldBeyondBank(atService), width: STROKE_TO_PX },
  ];
}

function stateColour(): Record<string, unknown> {
  return {
    field: "state",
    type: "nominal",
    scale: { domain: Object.keys(STATE_COLOUR), range: Object.values(STATE_COLOUR) },
  };
}

/** Labels go to the worst first; leaning units have none. */
function rankOf({ state, chance }: FleetStroke): number | null {
  if (state === "out") return 2 + chance;
  return state === "heading-out" ? 1 + chance : null;
}
