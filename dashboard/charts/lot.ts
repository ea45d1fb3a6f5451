import { VERDICT_STATE, Z_90 } from "../page-models/fluid-lots.ts";
import type { LotPicture } from "../page-models/lot.ts";
import { wordTip } from "../wording/lot.ts";
import type { Chart, Layer } from "./chart.ts";
import {
  COLOUR,
  level,
  OWN_COLOUR,
  parameters,
  type SizeName,
  STATE_COLOUR,
  TIME_PARAMETERS,
  timeAcross,
  timeValues,
  WIDTHS,
} from "./theme.ts";

const HEIGHT: Readonly<Record<SizeName, number>> = { narrow: 240, middle: 270, wide: 300 };
const LEFT = 52;
const MONTH_PX = 62;
/** Room at both ends, as a share of the time shown, and at least so many days. */
const END_ROOM = 0.02;
const LEAST_ROOM_DAYS = 4;

/** A lot's error over its age with its band, in the water of its certificate, and what single units say. */
export function lotChart(picture: LotPicture, size: SizeName): Chart {
  const { path, words, verdict, reach, allowance, certifiedUncertainty } = picture;
  const days = [path.day[0]!, path.day.at(-1)!, ...words.map(({ day }) => day)];
  const [first, last] = [Math.min(...days), Math.max(...days)];
  const room = Math.max(LEAST_ROOM_DAYS, (last - first) * END_ROOM);
  const [from, to] = [first - room, last + room];
  const width = WIDTHS[size] - LEFT - 4;
  const colour = STATE_COLOUR[VERDICT_STATE[verdict]];
  // A lot used on one day still has a course as wide as its mark.
  const course = path.day.length > 1 ? path.day.map((_, i) => i) : [0, 0];
  return {
    shape: `lot ${size}`,
    spec: lotSpec(size, width),
    values: { ...timeValues(from, to, width / MONTH_PX), reach, marks: marksUpTo(reach) },
    data: {
      // The sand is the ground; on it the water that a tolerance leaves the fluid, and in that what its certificate says.
      waters: [
        { low: -allowance, high: allowance, colour: COLOUR.water },
        ...(certifiedUncertainty === null
          ? []
          : [{ low: -certifiedUncertainty, high: certifiedUncertainty, colour: COLOUR.certified }]),
      ],
      course: course.map((i, k) => ({
        day: path.day.length > 1 ? path.day[i]! : path.day[0]! + (k === 0 ? -1 : 1) * (room / 2),
        y: path.error[i]!,
        low: path.error[i]! - Z_90 * path.sd[i]!,
        high: path.error[i]! + Z_90 * path.sd[i]!,
        colour,
      })),
      words: words.map((word) => ({
        day: word.day,
        y: word.error,
        low: word.error - Z_90 * word.sd,
        high: word.error + Z_90 * word.sd,
        apart: word.apart,
        colour: word.apart ? STATE_COLOUR.out : COLOUR.ink,
        tip: wordTip(word),
        href: `/units/${encodeURIComponent(word.instrument)}`,
      })),
    },
  };
}

function marksUpTo(reach: number): number[] {
  const step = [0.5, 1, 2, 5, 10].find((candidate) => reach / candidate <= 4) ?? 20;
  const n = Math.floor(reach / step);
  return Array.from({ length: 2 * n + 1 }, (_, i) => (i - n) * step);
}

function lotSpec(size: SizeName, width: number): Layer {
  const y: Layer = {
    field: "y",
    type: "quantitative",
    title: null,
    scale: { domain: { expr: "[-reach, reach]" }, nice: false },
    axis: {
      values: { expr: "marks" },
      labelExpr:
        "datum.value === 0 ? '0' : (datum.value > 0 ? '+' : '\u2212') + format(abs(datum.value), '.2~f') + '\u202f%'",
      ticks: false,
      title: null,
    },
  };
  return {
    width,
    height: HEIGHT[size],
    padding: { left: LEFT, right: 4, top: 2, bottom: 26 },
    autosize: { type: "none" },
    params: [...TIME_PARAMETERS, ...parameters("reach", "marks")],
    view: { fill: COLOUR.bank, cornerRadius: 4 },
    encoding: { x: timeAcross(true) },
    layer: [
      {
        data: { name: "waters" },
        mark: { type: "rect" },
        encoding: {
          x: { value: 0 },
          x2: { value: "width" },
          y: { ...y, field: "low" },
          y2: { field: "high" },
          fill: OWN_COLOUR,
        },
      },
      level(0, COLOUR.truth),
      {
        data: { name: "words" },
        mark: { type: "rule", opacity: 0.16, strokeWidth: 1.2, clip: true },
        encoding: { y: { ...y, field: "low" }, y2: { field: "high" }, stroke: OWN_COLOUR },
      },
      {
        data: { name: "course" },
        mark: { type: "area", opacity: 0.3 },
        encoding: { y: { ...y, field: "low" }, y2: { field: "high" }, fill: OWN_COLOUR },
      },
      {
        data: { name: "course" },
        mark: { type: "line", strokeWidth: 2.4 },
        encoding: { y, stroke: OWN_COLOUR },
      },
      {
        name: "own",
        data: { name: "words" },
        mark: { type: "point", filled: true },
        encoding: {
          y,
          shape: {
            field: "apart",
            type: "nominal",
            scale: { domain: [false, true], range: ["circle", "square"] },
          },
          size: { condition: { test: "datum.apart", value: 34 }, value: 16 },
          opacity: { condition: { test: "datum.apart", value: 1 }, value: 0.6 },
          fill: OWN_COLOUR,
        },
      },
    ],
  };
}
