import type { BandPath } from "../../analysis/index.ts";
import type { BandLife, LifePoint, Lives } from "../page-models/lives.ts";
import { date } from "../wording/dates.ts";
import { decimal } from "../wording/numbers.ts";
import { BAND_LABEL } from "../wording/states.ts";
import { atServiceText, lotSpellText } from "../wording/unit.ts";
import type { ChartSpec } from "./draw.ts";
import { gateMarks } from "./gates.ts";
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

const BAND_HEIGHT: Readonly<Record<SizeName, number>> = { narrow: 96, middle: 108, wide: 118 };
/** Room beside the bands for their names and scale, and for what is expected at the end. Unit: px. */
const LEFT = 28;
const RIGHT = { narrow: 6, middle: 78, wide: 82 } as const;
const RIBBON_HEIGHT = 30;
const DOT = { narrow: 9, middle: 12, wide: 15 } as const;

/**
 * The three bands of a unit through its lives, one above the other in the same water, the fluid lots as a ribbon
 * below: readings without shared causes filled, as read ghosted, the fan of what is to be expected ahead.
 */
export function livesChart(lives: Lives, size: SizeName): ChartSpec {
  const width = WIDTHS[size] - LEFT - RIGHT[size];
  const room = (lives.toDay - lives.fromDay) * 0.012;
  const domain = [lives.fromDay - room, lives.toDay + room] as const;
  const x = timeAcross(domain, null);
  return {
    // The labels left and right take their own room beside the bands.
    padding: 2,
    spacing: 8,
    resolve: { scale: { x: "independent", y: "independent", color: "independent" } },
    vconcat: [
      gateMarks(lives, width, size, domain),
      ...lives.bands.map((band, i) => ({
        width,
        height: BAND_HEIGHT[size],
        view: { fill: COLOUR.bank, cornerRadius: 4 },
        encoding: { x: i === 2 ? timeAcross(domain, { mostLabels: width / 62 }) : x },
        layer: bandLayers(band, lives, size, width),
      })),
      { width, height: RIBBON_HEIGHT, layer: ribbonLayers(lives, domain, width, x) },
    ],
  };
}

function bandLayers(band: BandLife, lives: Lives, size: SizeName, width: number): Record<string, unknown>[] {
  const y = {
    field: "y",
    type: "quantitative",
    title: null,
    scale: { domain: [-lives.reach, lives.reach], nice: false },
    axis: { values: [-1, 1], labelExpr: "datum.value > 0 ? '+1' : '\u22121'", ticks: false, title: null },
  };
  const colour = STATE_COLOUR[band.state];
  const withY = (layer: Record<string, unknown>): Record<string, unknown> => ({
    ...layer,
    encoding: { y, ...(layer.encoding as Record<string, unknown>) },
  });
  return [
    channel(-1, 1, COLOUR.water),
    channel(-0.5, 0.5, COLOUR.deep),
    level(0, COLOUR.truth),
    ...[...fan(band.past, colour, 0.16), ...fan(band.ahead, colour, 0.2)].map(withY),
    ...uprights(lives),
    ...pointLayers(band, lives.reach, size).map(withY),
    ...names(band, size, width, lives.reach).map(withY),
  ];
}

/** The middle 90 and 50 % as areas, the median as a line. */
function fan(path: BandPath | null, colour: string, opacity: number): Record<string, unknown>[] {
  if (path === null || path.day.length === 0) return [];
  const rows = path.day.map((day, i) => ({
    day: day,
    p05: path.p05[i],
    p25: path.p25[i],
    p75: path.p75[i],
    p95: path.p95[i],
    y: path.p50[i],
  }));
  const area = (from: string, to: string): Record<string, unknown> => ({
    data: { values: rows },
    mark: { type: "area", fill: colour, opacity, clip: true },
    encoding: { y: { field: from, type: "quantitative" }, y2: { field: to } },
  });
  return [
    area("p05", "p95"),
    area("p25", "p75"),
    {
      data: { values: rows },
      mark: { type: "line", stroke: colour, strokeWidth: 2.2, clip: true, interpolate: "linear" },
    },
  ];
}

/** Services, today and the due date as uprights through the water. */
function uprights({ gates, asOfDay, dueDay }: Lives): Record<string, unknown>[] {
  const upright = (days: readonly number[], mark: Record<string, unknown>): Record<string, unknown> => ({
    data: { values: days.map((day) => ({ day: day })) },
    mark: { type: "rule", ...mark },
  });
  return [
    upright(
      gates.filter(({ action }) => action !== "inspected").map(({ day }) => day),
      { stroke: COLOUR.ink, strokeWidth: 1.6 },
    ),
    upright(
      gates.filter(({ action }) => action === "inspected").map(({ day }) => day),
      { stroke: COLOUR.soft, strokeWidth: 1 },
    ),
    upright([asOfDay], { stroke: COLOUR.soft, strokeWidth: 1.2, opacity: 0.7 }),
    upright(dueDay === null ? [] : [dueDay], { stroke: COLOUR.ink, strokeWidth: 1.4, strokeDash: [3, 3] }),
  ];
}

function pointLayers({ points, band }: BandLife, reach: number, size: SizeName): Record<string, unknown>[] {
  const rows = points.map((point) => pointRow(point, BAND_LABEL[band], reach));
  const used = rows.filter((row) => row.used);
  return [
    {
      name: "asread",
      data: { values: used.map((row) => ({ ...row, y: row.asRead })) },
      mark: {
        type: "point",
        shape: "circle",
        stroke: COLOUR.soft,
        strokeWidth: 0.9,
        opacity: 0.55,
        size: DOT[size],
        clip: true,
      },
    },
    {
      name: "own",
      data: { values: used },
      mark: { type: "circle", size: DOT[size], opacity: 1 },
      encoding: {
        fill: { condition: { test: "datum.presentLife", value: COLOUR.ink }, value: COLOUR.steady },
        opacity: { condition: { test: "datum.presentLife", value: 0.9 }, value: 0.55 },
      },
    },
    {
      name: "notused",
      data: { values: rows.filter((row) => !row.used) },
      mark: {
        type: "point",
        shape: "M-1,-1L1,1M-1,1L1,-1",
        stroke: COLOUR.soft,
        strokeWidth: 1.2,
        size: 7,
        opacity: 1,
      },
    },
  ];
}

function pointRow(
  { day, check, asRead, own, used, presentLife }: LifePoint,
  bandName: string,
  reach: number,
) {
  const within = (value: number): number => Math.max(-reach, Math.min(reach, value));
  const value = own ?? asRead;
  return {
    day: day,
    check,
    used,
    presentLife,
    asRead: within(asRead),
    y: within(value),
    tip: `${date(day)}, ${bandName}\n${decimal(value, 2)} of tolerance${own === null ? "" : `; as read ${decimal(asRead, 2)}`}${used ? "" : "\nnot used"}`,
  };
}

/** The band's name inside its water, and what is expected at the end of the fan. */
function names(
  { band, ahead, state }: BandLife,
  size: SizeName,
  width: number,
  reach: number,
): Record<string, unknown>[] {
  const text = (content: string, mark: Record<string, unknown>, x: number, y: Record<string, unknown>) => ({
    data: { values: [{}] },
    mark: { type: "text", text: content, baseline: "middle", ...mark },
    encoding: { x: { value: x }, y },
  });
  const name = size === "narrow" ? band : BAND_LABEL[band];
  const marks = [text(name, { align: "left", fontStyle: "italic", fill: COLOUR.soft }, 8, { value: 14 })];
  const end = ahead?.p50.at(-1);
  if (end === undefined) return marks;
  const words = atServiceText(end);
  const at = Math.max(-reach, Math.min(reach, end));
  const place = size === "narrow" ? { align: "right", x: width - 6 } : { align: "left", x: width + 8 };
  const y = size === "narrow" ? { value: 14 } : { datum: at, type: "quantitative" };
  return [
    ...marks,
    text(words, { align: place.align, fontWeight: 600, fill: STATE_COLOUR[state] }, place.x, y),
  ];
}

/** Which lot was in the cup when; a lot that is not sound stands out. */
function ribbonLayers(
  { lots }: Lives,
  [start, end]: readonly [number, number],
  width: number,
  x: Record<string, unknown>,
): Record<string, unknown>[] {
  const px = (day: number): number => ((day - start) / (end - start)) * width;
  const rows = lots.map((spell) => {
    const text = lotSpellText(spell);
    const [from, to] = [spell.fromDay, Math.max(spell.toDay, spell.fromDay + 2)];
    const room = px(to) - px(from);
    const shorter = spell.fluidLot.length * LETTER_PX <= room ? spell.fluidLot : "";
    const fits = text.length * LETTER_PX <= room ? text : shorter;
    return {
      day: from,
      to,
      text: fits,
      tip: text,
      doubted: spell.verdict === "doubtful" || spell.verdict === "unsound",
    };
  });
  const base = { data: { values: rows }, encoding: { x } };
  return [
    {
      name: "lots",
      ...base,
      mark: { type: "bar", cornerRadius: 2 },
      encoding: {
        x,
        x2: { field: "to" },
        y: { value: 6 },
        y2: { value: 12 },
        fill: { condition: { test: "datum.doubted", value: STATE_COLOUR.leaning }, value: COLOUR.truth },
      },
    },
    {
      ...base,
      mark: { type: "text", align: "left", baseline: "top", fill: COLOUR.soft, fontSize: 12 },
      encoding: { x, y: { value: 16 }, text: { field: "text" } },
    },
  ];
}
