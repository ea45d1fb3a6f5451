import type { Measured } from "./run-stage.ts";

const STAGES = ["intake", "load", "learn", "analysis"] as const;
const LABELS = {
  intake: "intake",
  load: "loading",
  learn: "learning the fleet",
  analysis: "full analysis",
} as const;

/** What each stage of the work took at one size. */
export type GrowthResult = { readonly [Name in (typeof STAGES)[number]]: Measured<Name> };

const WIDTH = 640;
const HEIGHT = 420;
const FRAME = { left: 70, right: 200, top: 20, bottom: 50 };

/** Slope of the straight line through the logarithms: cost grows with size to this power. */
export function growthExponent(points: readonly (readonly [size: number, cost: number])[]): number {
  const logs = points.map(([size, cost]) => [Math.log(size), Math.log(cost)] as const);
  const mean = (at: 0 | 1) => logs.reduce((sum, point) => sum + point[at], 0) / logs.length;
  const [x, y] = [mean(0), mean(1)];
  const product = logs.reduce((sum, point) => sum + (point[0] - x) * (point[1] - y), 0);
  return product / logs.reduce((sum, point) => sum + (point[0] - x) ** 2, 0);
}

/** The same in words, for one size. */
export function growthLine(result: GrowthResult): string {
  const costs = STAGES.map((stage) => `${LABELS[stage]} ${result[stage].cpuSeconds.toPrecision(3)} s`);
  return `${result.load.readings} readings; processor time: ${costs.join(", ")}`;
}

/** Processor time of each stage over the number of readings, both as decades, with the exponent fitted: an SVG. */
export function growthPicture(results: readonly GrowthResult[]): string {
  const curves = STAGES.map((stage) => ({
    label: LABELS[stage],
    points: results.map((result) => [result.load.readings, result[stage].cpuSeconds] as const),
  }));
  const sizes = curves[0]!.points.map(([size]) => Math.log10(size));
  const costs = curves.flatMap(({ points }) => points.map(([, cost]) => Math.log10(cost)));
  const [fromX, toX] = [Math.floor(Math.min(...sizes)), Math.ceil(Math.max(...sizes))];
  const [fromY, toY] = [Math.floor(Math.min(...costs)), Math.ceil(Math.max(...costs))];
  const x = (log: number) =>
    FRAME.left + ((log - fromX) / (toX - fromX)) * (WIDTH - FRAME.left - FRAME.right);
  const y = (log: number) =>
    HEIGHT - FRAME.bottom - ((log - fromY) / (toY - fromY)) * (HEIGHT - FRAME.top - FRAME.bottom);

  const shapes: string[] = [];
  for (let decade = fromX; decade <= toX; decade++) {
    shapes.push(
      `<path class="grid" d="M${x(decade)} ${FRAME.top}V${HEIGHT - FRAME.bottom}"/>`,
      `<text x="${x(decade)}" y="${HEIGHT - FRAME.bottom + 18}" text-anchor="middle">${decadeText(decade)}</text>`,
    );
  }
  for (let decade = fromY; decade <= toY; decade++) {
    shapes.push(
      `<path class="grid" d="M${FRAME.left} ${y(decade)}H${WIDTH - FRAME.right}"/>`,
      `<text x="${FRAME.left - 8}" y="${y(decade) + 4}" text-anchor="end">${decadeText(decade)} s</text>`,
    );
  }
  const labelled = [...curves].sort((a, b) => b.points.at(-1)![1] - a.points.at(-1)![1]);
  labelled.forEach(({ label, points }, i) => {
    const at = points.map(([size, cost]) => [x(Math.log10(size)), y(Math.log10(cost))] as const);
    const [endX, endY] = at.at(-1)!;
    const labelY = FRAME.top + 20 + 36 * i;
    shapes.push(
      `<path class="line" d="M${at.map((point) => point.map(round).join(" ")).join("L")}"/>`,
      ...at.map(([cx, cy]) => `<circle cx="${round(cx)}" cy="${round(cy)}" r="3"/>`),
      `<path class="lead" d="M${round(endX)} ${round(endY)}L${WIDTH - FRAME.right + 10} ${labelY - 4}"/>`,
      `<text x="${WIDTH - FRAME.right + 14}" y="${labelY}">${label}, n^${twoDigits(growthExponent(points))}</text>`,
      `<text class="last" x="${WIDTH - FRAME.right + 14}" y="${labelY + 13}">last step n^${twoDigits(growthExponent(points.slice(-2)))}</text>`,
    );
  });
  return `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${WIDTH} ${HEIGHT}" font-family="sans-serif" font-size="12">
<title>Processor time of each stage by number of readings</title>
<style>.grid{stroke:#ddd}.line{stroke:#1f4e6b;fill:none;stroke-width:1.5}.lead{stroke:#999;stroke-dasharray:2 2}circle{fill:#1f4e6b}.last{fill:#555;font-size:11px}</style>
<rect width="${WIDTH}" height="${HEIGHT}" fill="#fff"/>
${shapes.join("\n")}
<text x="${(FRAME.left + WIDTH - FRAME.right) / 2}" y="${HEIGHT - 10}" text-anchor="middle">readings</text>
</svg>
`;
}

function decadeText(decade: number): string {
  return decade >= 0 && decade < 4
    ? String(10 ** decade)
    : decade < 0
      ? (10 ** decade).toFixed(-decade)
      : `10^${decade}`;
}

function round(value: number): number {
  return Math.round(value * 10) / 10;
}

/** Without the sign of a zero. */
function twoDigits(value: number): string {
  return (Math.round(value * 100) / 100 || 0).toFixed(2);
}
