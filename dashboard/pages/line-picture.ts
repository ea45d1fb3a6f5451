import { html } from "htm/preact";
import type { Side } from "../page-models/side-by-side.ts";
import { decimal } from "../wording/numbers.ts";
import { sideAloud } from "../wording/side-by-side.ts";
import type { Html } from "./layout.ts";

const WIDTH = 300;
const HEIGHT = 220;
const LEFT = 26;
const BOTTOM = 18;

/** Error along the torque of one choice: tolerance as water, readings as dots, the line in the band that holds it whole. */
export function linePicture(side: Side, reach: number): Html {
  const { fit, points, tolerance } = side;
  const x = (torque: number) => round(LEFT + ((WIDTH - LEFT) * torque) / 100);
  const y = (error: number) =>
    round(((HEIGHT - BOTTOM) / 2) * (1 - Math.max(-1, Math.min(1, error / reach))));
  const path = (torques: readonly number[], values: readonly number[]) =>
    torques.map((torque, i) => `${x(torque)} ${y(values[i]!)}`).join("L");
  const ring = (torques: readonly number[], lower: readonly number[], upper: readonly number[]) =>
    `M${path(torques, upper)}L${path([...torques].reverse(), [...lower].reverse())}Z`;
  const { torque: at, tolerance: limit } = tolerance;
  const tick = reach > 4 ? 2 : reach > 1.5 ? 1 : 0.5;
  return html`
    <svg class="lanes line-picture" viewBox=${`0 0 ${WIDTH} ${HEIGHT}`} role="img" aria-label=${sideAloud(side)}>
      <rect class="bank" x=${LEFT} width=${WIDTH - LEFT} height=${HEIGHT - BOTTOM} />
      <path class="water" d=${ring(
        at,
        limit.map((value) => -value),
        limit,
      )} />
      <path class="true" d=${`M${LEFT} ${y(0)}H${WIDTH}`} />
      ${[-tick, 0, tick].map((value) => html`<text x=${LEFT - 4} y=${y(value) + 4} text-anchor="end">${value === 0 ? "0" : `${value > 0 ? "+" : "\u2212"}${decimal(Math.abs(value), tick < 1 ? 1 : 0)}`}</text>`)}
      ${[20, 50, 85].map((value) => html`<text x=${x(value)} y=${HEIGHT - 4} text-anchor="middle">${value}</text>`)}
      <g class="steady">
        ${fit === null ? null : html`<path class="soft" d=${ring(fit.curve.torque, fit.curve.wholeLower ?? fit.curve.lower, fit.curve.wholeUpper ?? fit.curve.upper)} />`}
        ${points.map((point) => html`<circle class="mark-solid" cx=${x(point.torque)} cy=${y(point.error)} r="1.3" />`)}
        ${fit === null ? null : html`<path class="line" d=${`M${path(fit.curve.torque, fit.curve.mean)}`} />`}
      </g>
    </svg>
  `;
}

function round(value: number): number {
  return Math.round(value * 10) / 10;
}
