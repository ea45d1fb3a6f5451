import type { Lives } from "../page-models/lives.ts";
import { dueGateText, gateText, shortGateText } from "../wording/unit.ts";
import { COLOUR, LETTER_PX, type SizeName, timeAcross } from "./theme.ts";

const HEIGHT = 16;

interface GateName {
  readonly day: number;
  readonly text: string;
  readonly align: "left" | "center" | "right";
}

/** The names of the uprights, above the water; an older one that would touch a newer is left out. */
export function gateMarks(
  lives: Lives,
  width: number,
  size: SizeName,
  domain: readonly [number, number],
): Record<string, unknown> {
  const wanted = wantedNames(lives, size);
  const x = timeAcross(domain, null);
  const px = (day: number): number => ((day - domain[0]) / (domain[1] - domain[0])) * width;
  const kept: (GateName & { left: number; right: number })[] = [];
  for (const { day, text } of wanted) {
    const length = text.length * LETTER_PX;
    const middle = px(day);
    const align = middle - length / 2 < 0 ? "left" : middle + length / 2 > width ? "right" : "center";
    const left = align === "left" ? middle : align === "right" ? middle - length : middle - length / 2;
    const right = left + length;
    if (kept.some((other) => left < other.right + 8 && other.left < right + 8)) continue;
    kept.push({ day, text, align, left, right });
  }
  return {
    width,
    height: HEIGHT,
    layer: (["left", "center", "right"] as const).map((align) => ({
      data: { values: kept.filter((name) => name.align === align).map(({ day, text }) => ({ day, text })) },
      mark: { type: "text", align, baseline: "bottom", fill: COLOUR.ink },
      encoding: { x, y: { value: HEIGHT }, text: { field: "text" } },
    })),
  };
}

/** In order of importance: the due date, today, then services from the newest. */
function wantedNames({ dueDay, asOfDay, gates }: Lives, size: SizeName): { day: number; text: string }[] {
  const name = size === "narrow" ? shortGateText : gateText;
  return [
    ...(dueDay === null ? [] : [{ day: dueDay, text: dueGateText(dueDay) }]),
    ...[...gates]
      .reverse()
      .slice(0, 1)
      .map(({ day, action }) => ({ day, text: name(day, action) })),
    { day: asOfDay, text: "today" },
    ...[...gates]
      .reverse()
      .slice(1)
      .map(({ day, action }) => ({ day, text: name(day, action) })),
  ];
}
