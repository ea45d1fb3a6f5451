import { html } from "htm/preact";
import { FOLDED_END, foldBeyondBank } from "../page-models/bank-scale.ts";
import type { Lane } from "../page-models/lanes.ts";
import { lanesAloud } from "../wording/fleet.ts";
import type { Html } from "./layout.ts";
import { signAt } from "./sign.ts";

const WIDTH = 300;
const HEIGHT = 48;
const LANE_GAP = 14;
const SIGN = 3.8;
/** Shorter moves than this are hidden by the sign itself. */
const SHORTEST_STROKE = 5;

function across(errorOverTolerance: number): number {
  const x = WIDTH / 2 + (foldBeyondBank(errorOverTolerance) / FOLDED_END) * (WIDTH / 2);
  return Math.round(x * 10) / 10;
}

/**
 * A unit's three bands in the channel of tolerance: low torque on top. In each, a small dot where the band
 * stands today, a stroke that widens towards where it is expected at its service, and a soft bar that holds 90 %.
 */
export function lanePicture(lanes: readonly Lane[]): Html {
  const [left, right] = [across(-1), across(1)];
  const [deepLeft, deepRight] = [across(-0.5), across(0.5)];
  return html`
    <svg class="lanes" viewBox=${`0 0 ${WIDTH} ${HEIGHT}`} role="img" aria-label=${lanesAloud(lanes)}>
      <rect class="bank" width=${WIDTH} height=${HEIGHT} rx="4" />
      <rect class="water" x=${left} width=${right - left} height=${HEIGHT} />
      <rect class="deep" x=${deepLeft} width=${deepRight - deepLeft} height=${HEIGHT} />
      <path class="true" d=${`M${WIDTH / 2} 0V${HEIGHT}`} />
      ${lanes.map((lane, i) => laneMarks(lane, HEIGHT / 2 + (i - 1) * LANE_GAP))}
    </svg>
  `;
}

function laneMarks({ now, atService, low, high, state }: Lane, y: number): Html {
  const [from, to] = [across(now), across(atService)];
  const [softFrom, softTo] = [across(low), across(high)];
  const direction = to >= from ? 1 : -1;
  const stroke =
    Math.abs(to - from) > SHORTEST_STROKE
      ? html`<path class="stroke" d=${`M${from} ${y - 0.6}L${to} ${y - 2}V${y + 2}L${from} ${y + 0.6}Z`} />`
      : null;
  return html`
    <g class=${state}>
      <rect class="soft" x=${softFrom} y=${y - 3.5} width=${Math.max(0, softTo - softFrom)} height="7" rx="3.5" />
      ${stroke}
      <circle class="mark-solid" cx=${from} cy=${y} r="1.5" />
      ${signAt(state, to, y, SIGN, direction)}
    </g>
  `;
}
