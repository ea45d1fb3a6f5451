import { html } from "htm/preact";
import type { FoundOut } from "../../analysis/index.ts";
import type { ToldSince } from "../assessment/out-findings.ts";
import { sinceAloud } from "../wording/findings.ts";
import type { Html } from "./layout.ts";
import { signAt } from "./sign.ts";

const WIDTH = 300;
const HEIGHT = 28;
const MIDDLE = HEIGHT / 2;

/**
 * The days between which a unit left tolerance, on a line from one day to another: a soft bar that holds 90 %, a mark
 * at the likeliest half, and the sign of being out where it was found.
 */
export function windowPicture(
  found: FoundOut,
  since: ToldSince | null,
  fromDay: number,
  toDay: number,
): Html {
  const across = (day: number) =>
    Math.round((6 + (WIDTH - 12) * Math.min(1, Math.max(0, (day - fromDay) / (toDay - fromDay)))) * 10) / 10;
  const at = across(found.foundDay);
  const left = since?.left ?? null;
  return html`
    <svg class="lanes window" viewBox=${`0 0 ${WIDTH} ${HEIGHT}`} role="img" aria-label=${sinceAloud(found, since)}>
      <rect class="bank" width=${WIDTH} height=${HEIGHT} rx="4" />
      <path class="true" d=${`M6 ${MIDDLE}H${WIDTH - 6}`} />
      <g class="out">
        ${
          left === null
            ? null
            : html`
                <rect class="soft" x=${across(left.p05)} y=${MIDDLE - 5} width=${Math.max(2, across(left.p95) - across(left.p05))} height="10" rx="4" />
                <path class="since" d=${`M${across(left.p50)} ${MIDDLE - 8}V${MIDDLE + 8}`} />
              `
        }
        ${signAt("out", at, MIDDLE, 3.8, 1)}
      </g>
    </svg>
  `;
}
