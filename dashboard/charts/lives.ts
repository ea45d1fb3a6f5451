import { BAND_NAMES, type BandName, type BandPath } from "../../analysis/index.ts";
import type { BandLife, LifePoint, Lives } from "../page-models/lives.ts";
import { BAND_LABEL } from "../wording/states.ts";
import { atServiceText, lotSpellText } from "../wording/unit.ts";
import { readingTip } from "../wording/unit-charts.ts";
import type { Chart, Layer, Row } from "./chart.ts";
import { gateNames, uprightRows } from "./gates.ts";
import {
  COLOUR,
  channel,
  LETTER_PX,
  level,
  OWN_COLOUR,
  parameters,
  placed,
  type SizeName,
  STATE_COLOUR,
  STATE_INK,
  TIME_PARAMETERS,
  timeAcross,
  timeValues,
  WIDTHS,
} from "./theme.ts";

const BAND_HEIGHT: Readonly<Record<SizeName, number>> = { narrow: 96, middle: 108, wide: 118 };
/** Room beside the bands for their scale, and for what is expected at the end. Unit: px. */
const LEFT = 28;
const RIGHT = { narrow: 6, middle: 104, wide: 108 } as const;
const NAMES_HEIGHT = 16;
const RIBBON_HEIGHT = 30;
const DOT = { narrow: 9, middle: 12, wide: 15 } as const;
const MONTH_PX = 62;
/** Room at both ends, as a share of the time shown. */
const END_ROOM = 0.012;

/**
 * The three bands of a unit through its lives, one above the other in the same water, the fluid lots as a ribbon
 * below: readings without shared causes filled, as read ghosted, the fan of what is to be expected ahead.
 */
export function livesChart(lives: Lives, size: SizeName): Chart {
  const width = WIDTHS[size] - LEFT - RIGHT[size];
  const room = (lives.toDay - lives.fromDay) * END_ROOM;
  const [from, to] = [lives.fromDay - room, lives.toDay + room];
  const across = (day: number): number => ((day - from) / (to - from)) * width;
  return {
    shape: `lives ${size}`,
    spec: livesSpec(size, width),
    values: { ...timeValues(from, to, width / MONTH_PX), reach: lives.reach },
    data: {
      names: gateNames(lives, size, width, across),
      uprights: uprightRows(lives),
      ...Object.assign({}, ...lives.bands.map((band) => bandRows(band, lives.reach))),
      lots: lotRows(lives, across),
    },
  };
}

function livesSpec(size: SizeName, width: number): Layer {
  return {
    // The labels left and right take their own room beside the bands.
    padding: 2,
    spacing: 8,
    params: [...TIME_PARAMETERS, ...parameters("reach")],
    resolve: { scale: { x: "independent", y: "independent" } },
    vconcat: [
      {
        width,
        height: NAMES_HEIGHT,
        data: { name: "names" },
        mark: { type: "text", align: { expr: "datum.align" }, baseline: "bottom" },
        encoding: { x: placed("x"), y: { value: NAMES_HEIGHT }, text: { field: "text" } },
      },
      ...BAND_NAMES.map((band) => ({
        width,
        height: BAND_HEIGHT[size],
        view: { fill: COLOUR.bank, cornerRadius: 4 },
        encoding: { x: timeAcross(band === "high") },
        layer: bandLayers(band, size, width),
      })),
      { width, height: RIBBON_HEIGHT, layer: ribbonLayers() },
    ],
  };
}

function bandLayers(band: BandName, size: SizeName, width: number): Layer[] {
  const y = {
    field: "y",
    type: "quantitative",
    title: null,
    scale: { domain: { expr: "[-reach, reach]" }, nice: false },
    axis: { values: [-1, 1], labelExpr: "datum.value > 0 ? '+1' : '\u22121'", ticks: false, title: null },
  };
  const fan = (from: string, to: string): Layer => ({
    data: { name: `fan_${band}` },
    mark: { type: "area", opacity: 0.2 },
    encoding: { y: { ...y, field: from }, y2: { field: to }, detail: { field: "part" }, fill: OWN_COLOUR },
  });
  const points = (name: string, mark: Layer, encoding: Layer = {}): Layer => ({
    // Two views of one name would share their rows.
    name: `${name}-${band}`,
    data: { name: `${name}_${band}` },
    mark: { type: "point", ...mark },
    encoding: { y, ...encoding },
  });
  const presentLife = (present: unknown, earlier: unknown): Layer => ({
    condition: { test: "datum.presentLife", value: present },
    value: earlier,
  });
  const name = size === "narrow" ? band : BAND_LABEL[band];
  return [
    channel(-1, 1, COLOUR.water),
    channel(-0.5, 0.5, COLOUR.deep),
    level(0, COLOUR.truth),
    fan("p05", "p95"),
    fan("p25", "p75"),
    {
      data: { name: `fan_${band}` },
      mark: { type: "line", strokeWidth: 2.2 },
      encoding: { y, detail: { field: "part" }, stroke: OWN_COLOUR },
    },
    {
      data: { name: "uprights" },
      mark: { type: "rule", strokeWidth: { expr: "datum.width" }, strokeDash: { expr: "datum.dash" } },
      encoding: { stroke: OWN_COLOUR },
    },
    points("asread", {
      shape: "circle",
      stroke: COLOUR.soft,
      strokeWidth: 0.9,
      opacity: 0.55,
      size: DOT[size],
    }),
    points(
      "own",
      { shape: "circle", filled: true, size: DOT[size] },
      { fill: presentLife(COLOUR.ink, COLOUR.steady), opacity: presentLife(0.9, 0.55) },
    ),
    points("notused", {
      shape: "M-1,-1L1,1M-1,1L1,-1",
      stroke: COLOUR.soft,
      strokeWidth: 1.2,
      size: 7,
      opacity: 1,
    }),
    {
      data: { values: [{}] },
      mark: {
        type: "text",
        text: name,
        align: "left",
        baseline: "middle",
        fontStyle: "italic",
        fill: COLOUR.soft,
      },
      encoding: { x: { value: 8 }, y: { value: 14 } },
    },
    {
      data: { name: `end_${band}` },
      mark: {
        type: "text",
        align: size === "narrow" ? "right" : "left",
        baseline: "middle",
        fontWeight: 600,
      },
      encoding: {
        x: { value: size === "narrow" ? width - 6 : width + 8 },
        y: size === "narrow" ? { value: 14 } : y,
        text: { field: "text" },
        fill: OWN_COLOUR,
      },
    },
  ];
}

function bandRows({ band, state, past, ahead, points }: BandLife, reach: number): Record<string, Row[]> {
  const colour = STATE_COLOUR[state];
  const rows = points.map((point) => pointRow(point, band, reach));
  const used = rows.filter((row) => row.used);
  const end = ahead?.p50.at(-1);
  return {
    [`fan_${band}`]: [...fanRows(past, "past", colour, reach), ...fanRows(ahead, "ahead", colour, reach)],
    [`asread_${band}`]: used.map(({ day, asRead }) => ({ day, y: asRead })),
    [`own_${band}`]: used,
    [`notused_${band}`]: rows.filter((row) => !row.used),
    [`end_${band}`]:
      end === undefined
        ? []
        : [{ y: within(end, reach), text: atServiceText(end), colour: STATE_INK[state] }],
  };
}

function fanRows(path: BandPath | null, part: string, colour: string, reach: number): Row[] {
  if (path === null) return [];
  const at = (values: readonly number[], i: number): number => within(values[i]!, reach);
  return path.day.map((day, i) => ({
    day,
    part,
    colour,
    p05: at(path.p05, i),
    p25: at(path.p25, i),
    y: at(path.p50, i),
    p75: at(path.p75, i),
    p95: at(path.p95, i),
  }));
}

function pointRow(point: LifePoint, band: BandName, reach: number) {
  const { day, check, asRead, own, used, presentLife } = point;
  return {
    day,
    check,
    used,
    presentLife,
    asRead: within(asRead, reach),
    y: within(own ?? asRead, reach),
    tip: readingTip(point, band),
  };
}

/** A value beyond the picture's end is drawn at the end; its tip says how far it is. */
function within(value: number, reach: number): number {
  return Math.max(-reach, Math.min(reach, value));
}

/** Which lot was in the cup when; a lot that is not sound stands out. */
function ribbonLayers(): Layer[] {
  const data = { name: "lots" };
  return [
    {
      data,
      mark: { type: "rect", cornerRadius: 2 },
      encoding: { x: placed("x"), x2: { field: "x2" }, y: { value: 6 }, y2: { value: 12 }, fill: OWN_COLOUR },
    },
    {
      data,
      mark: { type: "text", align: "left", baseline: "top", fill: COLOUR.soft, fontSize: 12 },
      encoding: { x: placed("x"), y: { value: 16 }, text: { field: "text" } },
    },
  ];
}

function lotRows({ lots }: Lives, across: (day: number) => number): Row[] {
  return lots.map((spell) => {
    const x = across(spell.fromDay);
    const x2 = Math.max(x + 2, across(spell.toDay));
    const fits = [lotSpellText(spell), spell.fluidLot].find((text) => text.length * LETTER_PX <= x2 - x);
    const doubted = spell.verdict === "doubtful" || spell.verdict === "unsound";
    return { x, x2, text: fits ?? "", colour: doubted ? STATE_COLOUR.leaning : COLOUR.truth };
  });
}
