import { html } from "htm/preact";
import type { LotUnit } from "../../analysis/index.ts";
import { FOLDED_END, foldBeyondBank } from "../page-models/bank-scale.ts";
import { type LotRow, VERDICT_STATE, Z_90 } from "../page-models/fluid-lots.ts";
import type { BathRow } from "../page-models/fluids.ts";
import { standsApart } from "../page-models/lot.ts";
import { bathPictureAloud, lotPictureAloud } from "../wording/fluids.ts";
import { wordPictureAloud } from "../wording/lot.ts";
import type { Html } from "./layout.ts";
import { signAt } from "./sign.ts";

const WIDTH = 300;
const LOT_HEIGHT = 34;
const SIGN = 4.2;
/** Shorter moves than this are hidden by the sign itself. */
const SHORTEST_STROKE = 6;

/** Where an error lies, in shares of what the tolerance leaves a fluid: true inside of it, folded beyond. */
function across(error: number, allowance: number): number {
  const x = WIDTH / 2 + (foldBeyondBank(error / allowance) / FOLDED_END) * (WIDTH / 2);
  return Math.round(x * 10) / 10;
}

/**
 * A lot beside its certificate: the deep water is the certificate's uncertainty, the sand what lies beyond the fluid's
 * share in a tolerance. A dot where the lot began, a stroke to where it is now.
 */
export function lotPicture(lot: LotRow): Html {
  const { allowance, certifiedUncertainty, error, errorAtFirst, low, high, verdict } = lot;
  const x = (value: number): number => across(value, allowance);
  const [from, to] = [x(errorAtFirst), x(error)];
  const [softFrom, softTo] = [x(low), x(high)];
  const y = LOT_HEIGHT / 2;
  return html`
    <svg class="lanes" viewBox=${`0 0 ${WIDTH} ${LOT_HEIGHT}`} role="img" aria-label=${lotPictureAloud(lot)}>
      ${banks(LOT_HEIGHT, x(-allowance), x(allowance))}
      ${certifiedUncertainty === null ? null : html`<rect class="certified" x=${x(-certifiedUncertainty)} width=${x(certifiedUncertainty) - x(-certifiedUncertainty)} height=${LOT_HEIGHT} />`}
      <path class="true" d=${`M${WIDTH / 2} 0V${LOT_HEIGHT}`} />
      <g class=${VERDICT_STATE[verdict]}>
        <rect class="soft" x=${softFrom} y=${y - 5} width=${Math.max(0, softTo - softFrom)} height="10" rx="5" />
        ${Math.abs(to - from) > SHORTEST_STROKE ? html`<path class="stroke" d=${`M${from} ${y - 0.6}L${to} ${y - 2}V${y + 2}L${from} ${y + 0.6}Z`} />` : null}
        ${Math.abs(to - from) > SHORTEST_STROKE ? html`<circle class="mark-solid" cx=${from} cy=${y} r="1.8" />` : null}
        ${signAt(VERDICT_STATE[verdict], to, y, SIGN)}
      </g>
    </svg>
  `;
}

function banks(height: number, left: number, right: number): Html {
  return html`
    <rect class="bank" width=${WIDTH} height=${height} rx="4" />
    <rect class="water" x=${left} width=${right - left} height=${height} />
  `;
}

const WORD_HEIGHT = 22;

/** One unit's own word on the lot against what all units say of it. */
export function wordPicture(unit: LotUnit, lot: LotRow): Html {
  const x = (value: number): number => across(value, lot.allowance);
  const { says } = unit;
  const y = WORD_HEIGHT / 2;
  const all = says === null ? lot.error : says.error - says.beside;
  return html`
    <svg class="lanes" viewBox=${`0 0 ${WIDTH} ${WORD_HEIGHT}`} role="img" aria-label=${wordPictureAloud(unit)}>
      ${banks(WORD_HEIGHT, x(-lot.allowance), x(lot.allowance))}
      <path class="true" d=${`M${WIDTH / 2} 0V${WORD_HEIGHT}`} />
      <path class="all-say" d=${`M${x(all)} 0V${WORD_HEIGHT}`} />
      ${says === null ? null : wordMark(x(says.error - Z_90 * says.sd), x(says.error), x(says.error + Z_90 * says.sd), y, standsApart(unit))}
    </svg>
  `;
}

function wordMark(from: number, at: number, to: number, y: number, apart: boolean): Html {
  const state = apart ? "out" : "steady";
  return html`
    <g class=${state}>
      <rect class="soft" x=${from} y=${y - 4} width=${to - from} height="8" rx="4" />
      ${signAt(state, at, y, 3.4)}
    </g>
  `;
}

const BATH_HEIGHT = 56;
const BATH_ROOM = 8;

/**
 * A site's bath through the quarters, too warm above: the water is what a check allows.
 *
 * @param span First and last day that all the pictures of the table share.
 */
export function bathPicture(
  bath: BathRow,
  allowedKelvin: number,
  [firstDay, lastDay]: readonly [number, number],
): Html {
  const x = (day: number): number =>
    tenth(BATH_ROOM + ((day - firstDay) / Math.max(1, lastDay - firstDay)) * (WIDTH - 2 * BATH_ROOM));
  const y = (kelvin: number): number =>
    tenth(BATH_HEIGHT / 2 - (foldBeyondBank(kelvin / allowedKelvin) / FOLDED_END) * (BATH_HEIGHT / 2));
  const points = bath.quarters.map(({ fromDay, toDay, kelvin, kelvinSd }) => ({
    x: x((fromDay + toDay) / 2),
    y: y(kelvin),
    top: y(kelvin + Z_90 * kelvinSd),
    bottom: y(kelvin - Z_90 * kelvinSd),
  }));
  const last = points.at(-1)!;
  const line = points.map((point) => `${point.x} ${point.y}`).join("L");
  const band = [
    ...points.map((point) => `${point.x} ${point.top}`),
    ...[...points].reverse().map((point) => `${point.x} ${point.bottom}`),
  ].join("L");
  return html`
    <svg class="lanes" viewBox=${`0 0 ${WIDTH} ${BATH_HEIGHT}`} role="img" aria-label=${bathPictureAloud(bath)}>
      <rect class="bank" width=${WIDTH} height=${BATH_HEIGHT} rx="4" />
      <rect class="water" y=${y(allowedKelvin)} width=${WIDTH} height=${y(-allowedKelvin) - y(allowedKelvin)} />
      <path class="true" d=${`M0 ${BATH_HEIGHT / 2}H${WIDTH}`} />
      <g class=${VERDICT_STATE[bath.verdict]}>
        ${points.length > 1 ? html`<path class="soft" d=${`M${band}Z`} /><path class="line" d=${`M${line}`} />` : html`<path class="line" d=${`M${last.x} ${last.top}V${last.bottom}`} />`}
        ${signAt(VERDICT_STATE[bath.verdict], last.x, last.y, SIGN)}
      </g>
    </svg>
  `;
}

function tenth(value: number): number {
  return Math.round(value * 10) / 10;
}
