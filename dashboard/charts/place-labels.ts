/** A sign with its stroke, which may carry a label; `rank` null: it has none, but labels keep clear of it. */
export interface Labelled {
  readonly x: number;
  readonly y: number;
  /** Where the upright stroke that ends in the sign begins. */
  readonly fromY: number;
  readonly text: string;
  readonly rank: number | null;
}

export interface LabelRoom {
  /** Where other text stands already. */
  readonly taken: readonly Box[];
  readonly width: number;
  readonly height: number;
  readonly most: number;
  readonly letterPx: number;
}

export interface PlacedLabel {
  readonly text: string;
  readonly x: number;
  readonly y: number;
  readonly align: "left" | "right";
}

export interface Box {
  readonly left: number;
  readonly right: number;
  readonly top: number;
  readonly bottom: number;
}

const LINE_PX = 14;
const AWAY_PX = 8;
const SIGN_PX = 5;
const STROKE_PX = 2;

/**
 * Gives labels to the points of highest rank, beside their signs, so that no label covers another label, a
 * sign, a stroke, or the edge. A label that finds no room is left out: the table names every unit anyway.
 *
 * Greedy, highest rank first; cost grows with labels times points. All measures in px.
 */
export function placeLabels(points: readonly Labelled[], room: LabelRoom): PlacedLabel[] {
  const ranked = points.filter((point) => point.rank !== null).sort((a, b) => b.rank! - a.rank!);
  const signs = points.flatMap(({ x, y, fromY }): Box[] => [
    { left: x - SIGN_PX, right: x + SIGN_PX, top: y - SIGN_PX, bottom: y + SIGN_PX },
    { left: x - STROKE_PX, right: x + STROKE_PX, top: Math.min(y, fromY), bottom: Math.max(y, fromY) },
  ]);
  const taken: Box[] = [...room.taken, ...signs];
  const placed: PlacedLabel[] = [];
  for (const { x, y, text } of ranked) {
    if (placed.length >= room.most) break;
    const length = text.length * room.letterPx;
    const choice = candidates(x, y, length).find(
      ({ box }) => isInside(box, room) && !taken.some((other) => overlap(box, other)),
    );
    if (choice === undefined) continue;
    taken.push(choice.box);
    placed.push({ text, x: choice.x, y: choice.y, align: choice.align });
  }
  return placed;
}

/** Right of the sign, left of it, then the same a little lower and higher. */
function candidates(x: number, y: number, length: number): (Omit<PlacedLabel, "text"> & { box: Box })[] {
  return [0, 7, -7].flatMap((shift) => {
    const [top, bottom] = [y + shift - LINE_PX / 2, y + shift + LINE_PX / 2];
    const right = { left: x + AWAY_PX, right: x + AWAY_PX + length, top, bottom };
    const left = { left: x - AWAY_PX - length, right: x - AWAY_PX, top, bottom };
    return [
      { x: x + AWAY_PX, y: y + shift, align: "left" as const, box: right },
      { x: x - AWAY_PX, y: y + shift, align: "right" as const, box: left },
    ];
  });
}

function isInside(box: Box, { width, height }: LabelRoom): boolean {
  return box.left >= 0 && box.right <= width && box.top >= 0 && box.bottom <= height;
}

function overlap(a: Box, b: Box): boolean {
  return a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;
}
