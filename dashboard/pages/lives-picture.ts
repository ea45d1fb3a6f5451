import { html } from "htm/preact";
import type { BandPath } from "../../analysis/index.ts";
import type { BandLife, LifePoint, Lives } from "../page-models/lives.ts";
import { BAND_LABEL } from "../wording/states.ts";
import { atServiceText } from "../wording/unit.ts";
import { readingTip } from "../wording/unit-charts.ts";
import type { Html } from "./layout.ts";
import { gateNames, LIFE_WIDTHS, lotNames, monthNames, type PlacedName } from "./lives-names.ts";

/** What is stretched to the room there is has units of its own; its strokes are not stretched. */
const STRETCHED = { width: 1000, height: 100 };
/** Room at both ends, as a share of the time shown. */
const END_ROOM = 0.012;
/** A lot that was used for a day is still seen. Share of the width. */
const LEAST_LOT = 0.002;

/** Where a day and an error lie, as shares of the room. */
interface Scale {
  readonly across: (day: number) => number;
  readonly down: (value: number) => number;
}

/**
 * The three bands of a unit through its lives, one above the other in the same water, the fluid lots as a ribbon
 * below: readings without shared causes filled, as read ghosted, the fan of what is to be expected ahead.
 *
 * One drawing for every width: places are shares of the room there is, texts and marks keep their size, and of the names
 * those are shown that have room. Every mark of a reading tells its figures where `withTips` says so.
 */
export function livesPicture(lives: Lives, withTips = false): Html {
  const { fromDay, toDay, reach, bands } = lives;
  const room = (toDay - fromDay) * END_ROOM;
  const [from, to] = [fromDay - room, toDay + room];
  const scale: Scale = {
    across: (day) => (day - from) / (to - from),
    // A value beyond the picture's end is drawn at the end; its tip says how far it is.
    down: (value) => (1 - Math.max(-reach, Math.min(reach, value)) / reach) / 2,
  };
  return html`
    <svg class="names">${eachWidth((size, width) => texts(gateNames(lives, size, width, scale.across)))}</svg>
    ${bands.map((band) => bandPicture(band, lives, scale, withTips))}
    <svg class="months">${eachWidth((_, width) => monthAxis(monthNames(from, to, width, scale.across)))}</svg>
    ${lotRibbon(lives, scale)}
  `;
}

function eachWidth(draw: (size: keyof typeof LIFE_WIDTHS, width: number) => Html): Html {
  return (["narrow", "middle", "wide"] as const).map(
    (size) => html`<g class=${`for-${size}`}>${draw(size, LIFE_WIDTHS[size])}</g>`,
  );
}

function bandPicture(life: BandLife, lives: Lives, scale: Scale, withTips: boolean): Html {
  const { band, state, past, ahead, points } = life;
  const { down } = scale;
  const used = points.filter((point) => point.used);
  const marks = (own: readonly LifePoint[]): Html => own.map((point) => dot(point, life, scale, withTips));
  const expected = ahead?.p50.at(-1);
  return html`
    <svg class=${`band ${state}`}>
      <rect class="bank" width="100%" height="100%" rx="4" />
      <rect class="water" width="100%" y=${percent(down(1))} height=${percent(down(-1) - down(1))} />
      <rect class="deep" width="100%" y=${percent(down(0.5))} height=${percent(down(-0.5) - down(0.5))} />
      <line class="true" x2="100%" y1="50%" y2="50%" />
      <svg viewBox=${`0 0 ${STRETCHED.width} ${STRETCHED.height}`} preserveAspectRatio="none">
        ${[past, ahead].map((path) => path && fan(path, scale))}
      </svg>
      ${uprights(lives, scale)}
      <g class="asread">
        ${used.map(({ day, asRead }) => html`<circle cx=${percent(scale.across(day))} cy=${percent(down(asRead))} r="2" />`)}
      </g>
      <g class="own earlier">${marks(used.filter((point) => !point.presentLife))}</g>
      <g class="own">${marks(used.filter((point) => point.presentLife))}</g>
      <g class="not-used">${points.filter((point) => !point.used).map((point) => cross(point, life, scale, withTips))}</g>
      ${[1, -1].map((limit) => html`<text class="limit" dx="-0.5em" dy="0.32em" y=${percent(down(limit))}>${limit > 0 ? "+1" : "\u22121"}</text>`)}
      <text class="band-name for-narrow" x="0.6em" y="1.4em">${band}</text>
      <text class="band-name for-room" x="0.6em" y="1.4em">${BAND_LABEL[band]}</text>
      ${
        expected === undefined
          ? null
          : html`
              <text class="end for-narrow" x="100%" dx="-0.4em" y="1.4em">${atServiceText(expected)}</text>
              <text class="end for-room" x="100%" dx="0.6em" dy="0.32em" y=${percent(down(expected))}>${atServiceText(expected)}</text>
            `
      }
    </svg>
  `;
}

/** What holds 90 and 50 % of what is to be expected, and the middle of it. */
function fan({ day, p05, p25, p50, p75, p95 }: BandPath, { across, down }: Scale): Html {
  const course = (values: readonly number[]): string[] =>
    values.map(
      (value, i) =>
        `${tenth(across(day[i]!) * STRETCHED.width)} ${hundredth(down(value) * STRETCHED.height)}`,
    );
  const between = (low: readonly number[], high: readonly number[]): string =>
    `M${course(high).join("L")}L${course(low).reverse().join("L")}Z`;
  return html`
    <path class="fan" d=${between(p05, p95)} /><path class="fan" d=${between(p25, p75)} />
    <path class="course" d=${`M${course(p50).join("L")}`} />
  `;
}

/** Services, today and the due date as uprights through the water. */
function uprights({ gates, asOfDay, dueDay }: Lives, { across }: Scale): Html {
  const upright = (kind: string, day: number): Html => {
    const x = percent(across(day));
    return html`<line class=${kind} x1=${x} x2=${x} y2="100%" />`;
  };
  return html`
    ${gates.map(({ day, action }) => upright(action === "inspected" ? "inspected" : "service", day))}
    ${upright("today", asOfDay)} ${dueDay === null ? null : upright("due", dueDay)}
  `;
}

function dot(point: LifePoint, { band }: BandLife, { across, down }: Scale, withTips: boolean): Html {
  const [x, y] = [percent(across(point.day)), percent(down(point.own ?? point.asRead))];
  if (!withTips) return html`<circle cx=${x} cy=${y} r="2" />`;
  return html`<circle cx=${x} cy=${y} r="2" data-tip=${readingTip(point, band)} data-check=${point.check} />`;
}

function cross(point: LifePoint, { band }: BandLife, { across, down }: Scale, withTips: boolean): Html {
  const tip = withTips ? { "data-tip": readingTip(point, band), "data-check": point.check } : {};
  return html`
    <svg x=${percent(across(point.day))} y=${percent(down(point.own ?? point.asRead))}><path d="M-2-2L2 2M-2 2L2-2" ...${tip} /></svg>
  `;
}

/** Which lot was in the cup when; a lot that is not sound stands out. */
function lotRibbon({ lots }: Lives, { across }: Scale): Html {
  return html`
    <svg class="lots">
      ${lots.map(({ fromDay, toDay, verdict }) => {
        const width = Math.max(LEAST_LOT, across(toDay) - across(fromDay));
        const doubted = verdict === "doubtful" || verdict === "unsound";
        return html`<rect class=${doubted ? "doubted" : "lot"} x=${percent(across(fromDay))} width=${percent(width)} y="6" height="6" rx="2" />`;
      })}
      ${eachWidth((_, width) => texts(lotNames(lots, width, across)))}
    </svg>
  `;
}

function texts(names: readonly PlacedName[]): Html {
  return names.map(
    ({ at, align, text }) => html`<text class=${align} x=${percent(at)} y="1em">${text}</text>`,
  );
}

function monthAxis(months: ReturnType<typeof monthNames>): Html {
  return months.map(({ at, text }) => {
    const x = percent(at);
    return html`<line x1=${x} x2=${x} y2="5" />${text === null ? null : html`<text x=${x} dx="-5" y="1.4em">${text}</text>`}`;
  });
}

function percent(share: number): string {
  return `${hundredth(100 * share)}%`;
}

function tenth(value: number): number {
  return Math.round(value * 10) / 10;
}

function hundredth(value: number): number {
  return Math.round(value * 100) / 100;
}
