import type { Lives } from "../page-models/lives.ts";
import { dueGateText, gateText, shortGateText } from "../wording/unit.ts";
import type { Row } from "./chart.ts";
import { COLOUR, LETTER_PX, type SizeName } from "./theme.ts";

/** Services, today and the due date as uprights through the water. */
export function uprightRows({ gates, asOfDay, dueDay }: Lives): Row[] {
  const services = gates.map(({ day, action }) =>
    action === "inspected"
      ? { day, colour: COLOUR.soft, width: 1, dash: [] }
      : { day, colour: COLOUR.ink, width: 1.6, dash: [] },
  );
  const today = { day: asOfDay, colour: COLOUR.soft, width: 1.2, dash: [] };
  const due = dueDay === null ? [] : [{ day: dueDay, colour: COLOUR.ink, width: 1.4, dash: [3, 3] }];
  return [...services, today, ...due];
}

/**
 * The names of the uprights, to stand above the water; an older one that would touch a newer is left out.
 *
 * @param across Where a day lies. Unit: px.
 */
export function gateNames(
  lives: Lives,
  size: SizeName,
  width: number,
  across: (day: number) => number,
): Row[] {
  const kept: { x: number; text: string; align: string; left: number; right: number }[] = [];
  for (const { day, text } of namesByImportance(lives, size)) {
    const length = text.length * LETTER_PX;
    const middle = across(day);
    const left = Math.max(0, Math.min(width - length, middle - length / 2));
    const right = left + length;
    if (kept.some((other) => left < other.right + 8 && other.left < right + 8)) continue;
    const align = left === 0 ? "left" : right === width ? "right" : "center";
    const x = align === "left" ? left : align === "right" ? right : middle;
    kept.push({ x, text, align, left, right });
  }
  return kept.map(({ x, text, align }) => ({ x, text, align }));
}

/** The due date, the service that began the present life, today, then older services from the newest. */
function namesByImportance(
  { dueDay, asOfDay, gates }: Lives,
  size: SizeName,
): { day: number; text: string }[] {
  const name = size === "narrow" ? shortGateText : gateText;
  const [newest, ...older] = [...gates]
    .reverse()
    .map(({ day, action }) => ({ day, text: name(day, action) }));
  return [
    ...(dueDay === null ? [] : [{ day: dueDay, text: dueGateText(dueDay) }]),
    ...(newest === undefined ? [] : [newest]),
    { day: asOfDay, text: "today" },
    ...older,
  ];
}
