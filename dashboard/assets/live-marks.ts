/** One mark of a live chart that has something to tell. */
export interface LiveMark {
  readonly element: SVGElement;
  readonly tip: string;
  /** Where a click leads, if anywhere. */
  readonly href: string | undefined;
  /** Its middle in the window. Unit: CSS px. */
  place(): { readonly x: number; readonly y: number };
  isSameCheckAs(other: LiveMark): boolean;
}

interface Datum {
  readonly tip?: string;
  readonly href?: string;
  readonly check?: number;
}

/**
 * The marks of a chart that carry a `tip`, from left to right, then from top to bottom.
 *
 * Vega keeps the item of the drawn scene, and in it the datum, on each element as `__data__`.
 */
export function marksIn(svg: SVGSVGElement): LiveMark[] {
  const found: LiveMark[] = [];
  const check = new Map<LiveMark, number | undefined>();
  for (const element of svg.querySelectorAll<SVGElement & { __data__?: { datum?: Datum } }>("path")) {
    const datum = element.__data__?.datum;
    if (datum?.tip === undefined) continue;
    const mark: LiveMark = {
      element,
      tip: datum.tip,
      href: datum.href,
      place: () => {
        const box = element.getBoundingClientRect();
        return { x: box.x + box.width / 2, y: box.y + box.height / 2 };
      },
      isSameCheckAs: (other) =>
        mark === other || (datum.check !== undefined && check.get(other) === datum.check),
    };
    check.set(mark, datum.check);
    found.push(mark);
  }
  const places = new Map(found.map((mark) => [mark, mark.place()]));
  return found.sort((a, b) => {
    const [p, q] = [places.get(a)!, places.get(b)!];
    // Marks of one check stand a fraction of a pixel apart.
    return Math.abs(p.x - q.x) > 0.5 ? p.x - q.x : p.y - q.y;
  });
}
