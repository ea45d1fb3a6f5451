import { html } from "htm/preact";
import { tolerancePercentFs } from "../../analysis/index.ts";
import { toleranceRuleOf } from "../assessment/check-rules.ts";
import type { Settings } from "../settings.ts";
import { decimal } from "../wording/numbers.ts";
import type { Html } from "./layout.ts";

const WIDTH = 560;
const HEIGHT = 150;
const LEFT = 54;
const BOTTOM = 20;
const JUDGED = [20, 50, 85];

/** The tolerance along the torque as a channel that widens, and a proposed one as its dashed banks. */
export function toleranceWater(settings: Settings, proposed: Settings | null): Html {
  const at = (of: Settings, torque: number): number => tolerancePercentFs(torque, toleranceRuleOf(of));
  const most = Math.max(at(settings, 100), proposed === null ? 0 : at(proposed, 100)) * 1.15;
  const x = (torque: number): number => LEFT + (torque / 100) * (WIDTH - LEFT);
  const y = (error: number): number => ((HEIGHT - BOTTOM) / 2) * (1 - error / most);
  const torques = Array.from({ length: 19 }, (_, i) => 10 + i * 5);
  const points = (of: Settings, side: 1 | -1): string[] =>
    torques.map((torque) => `${x(torque).toFixed(1)},${y(side * at(of, torque)).toFixed(1)}`);
  const water = [...points(settings, 1), ...points(settings, -1).reverse()].join(" ");
  const said = JUDGED.map((torque) => {
    const now = `\u00b1${decimal(at(settings, torque), 2)}`;
    const then = proposed === null ? "" : ` (proposed \u00b1${decimal(at(proposed, torque), 2)})`;
    return `${now}${then} at ${torque}\u202f%`;
  }).join(", ");
  return html`
    <figure class="tolerance-water">
      <svg class="lanes" viewBox=${`0 0 ${WIDTH} ${HEIGHT}`} role="img" aria-label=${`Tolerance in % of full scale along the expected torque: ${said}.`}>
        <rect class="bank" x=${x(10)} width=${WIDTH - x(10)} height=${HEIGHT - BOTTOM} />
        <polygon class="water" points=${water} />
        <line class="true" x1=${x(10)} x2=${WIDTH} y1=${y(0)} y2=${y(0)} />
        ${
          proposed === null
            ? null
            : html`
                <polyline class="proposed" points=${points(proposed, 1).join(" ")} />
                <polyline class="proposed" points=${points(proposed, -1).join(" ")} />
              `
        }
        ${JUDGED.map((torque) => html`<line class="judged" x1=${x(torque)} x2=${x(torque)} y1=${y(at(settings, torque))} y2=${y(-at(settings, torque))} /><text x=${x(torque)} y=${HEIGHT - 4} text-anchor="middle">${torque}\u202f%</text>`)}
        <text x=${x(10) - 8} y=${y(at(settings, 10)) + 5} text-anchor="end">+${decimal(at(settings, 10), 1)}</text>
        <text x=${x(10) - 8} y=${y(0) + 5} text-anchor="end">true</text>
        <text x=${x(10) - 8} y=${y(-at(settings, 10)) + 5} text-anchor="end">\u2212${decimal(at(settings, 10), 1)}</text>
      </svg>
      <figcaption>Tolerance in % of full scale along the expected torque: ${said}. A unit is judged at these three.</figcaption>
    </figure>
  `;
}
