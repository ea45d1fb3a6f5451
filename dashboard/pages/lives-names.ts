import { LETTER_PX, type SizeName, timeValues } from "../charts/theme.ts";
import type { Lives, LotSpell } from "../page-models/lives.ts";
import { month, monthAndYear } from "../wording/dates.ts";
import { dueGateText, gateText, lotSpellText, shortGateText } from "../wording/unit.ts";

/**
 * The least room that the bands have where the names of a size are shown; `lives.css` chooses by the room there is.
 * Unit: px, at the usual size of text.
 */
export const LIFE_WIDTHS: Readonly<Record<SizeName, number>> = { narrow: 250, middle: 428, wide: 812 };
const MONTH_PX = 62;
/** Between one text and the next. Unit: px. */
const APART_PX = 8;

export interface PlacedName {
  /** Share of the width. */
  readonly at: number;
  readonly align: "left" | "center" | "right";
  readonly text: string;
}

/**
 * The names of services, today and the due date, to stand above the water; an older one that would touch a newer is
 * left out.
 *
 * @param across Where a day lies, as a share of the width.
 */
export function gateNames(
  lives: Lives,
  size: SizeName,
  width: number,
  across: (day: number) => number,
): PlacedName[] {
  const kept: (PlacedName & { readonly left: number; readonly right: number })[] = [];
  for (const { day, text } of namesByImportance(lives, size)) {
    const length = text.length * LETTER_PX;
    const middle = across(day) * width;
    const left = Math.max(0, Math.min(width - length, middle - length / 2));
    const right = left + length;
    if (kept.some((other) => left < other.right + APART_PX && other.left < right + APART_PX)) continue;
    const align = left === 0 ? "left" : right === width ? "right" : "center";
    const at = align === "left" ? 0 : align === "right" ? 1 : across(day);
    kept.push({ at, text, align, left, right });
  }
  return kept;
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

/** The months that there is room for, the first and each January with its year; null where only a tick has room. */
export function monthNames(
  from: number,
  to: number,
  width: number,
  across: (day: number) => number,
): { readonly at: number; readonly text: string | null }[] {
  const { months } = timeValues(from, to, width / MONTH_PX);
  let taken = 0;
  return months.map((day, i) => {
    const at = across(day);
    const text = i === 0 || isJanuary(day) ? monthAndYear(day) : month(day);
    const [left, right] = [at * width, at * width + text.length * LETTER_PX];
    if (left < taken || right > width) return { at, text: null };
    taken = right;
    return { at, text };
  });
}

function isJanuary(day: number): boolean {
  return new Date(day * 86_400_000).getUTCMonth() === 0;
}

/** The lots by name where they were used long enough to have room for it. */
export function lotNames(
  lots: readonly LotSpell[],
  width: number,
  across: (day: number) => number,
): PlacedName[] {
  return lots.flatMap((spell) => {
    const [at, end] = [across(spell.fromDay), across(spell.toDay)];
    const text = [lotSpellText(spell), spell.fluidLot].find(
      ({ length }) => length * LETTER_PX <= (end - at) * width,
    );
    return text === undefined ? [] : [{ at, text, align: "left" as const }];
  });
}
