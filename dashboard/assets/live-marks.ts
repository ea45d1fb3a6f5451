/** One mark of a live chart that has something to tell. */
export interface LiveMark {
  readonly element: SVGElement;
  readonly tip: string;
  /** Where a click leads, if anywhere. */
  readonly href: string | undefined;
  /** undefined: it is of no check. */
  readonly check: number | undefined;
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
 * The marks of a chart that Vega drew and that carry a `tip`, in the order of {@link inOrder}.
 *
 * Vega keeps the item of the drawn scene, and in it the datum, on each element as `__data__`.
 */
export function marksIn(svg: SVGSVGElement): LiveMark[] {
  const found: LiveMark[] = [];
  for (const element of svg.querySelectorAll<SVGElement & { __data__?: { datum?: Datum } }>("path")) {
    const datum = element.__data__?.datum;
    if (datum?.tip !== undefined) found.push(markOf(element, datum.tip, datum.href, datum.check));
  }
  return inOrder(found);
}

/** The marks of a picture drawn by hand: those that carry `data-tip`, in the order of {@link inOrder}. */
export function marksWithTips(picture: HTMLElement): LiveMark[] {
  const found = [...picture.querySelectorAll<SVGElement>("[data-tip]")];
  return inOrder(
    found.map((element) => {
      const { tip = "", check } = element.dataset;
      return markOf(element, tip, undefined, check === undefined ? undefined : Number(check));
    }),
  );
}

function markOf(
  element: SVGElement,
  tip: string,
  href: string | undefined,
  check: number | undefined,
): LiveMark {
  return {
    element,
    tip,
    href,
    check,
    place: () => {
      const box = element.getBoundingClientRect();
      return { x: box.x + box.width / 2, y: box.y + box.height / 2 };
    },
    isSameCheckAs: (other) => element === other.element || (check !== undefined && check === other.check),
  };
}

/** From left to right, then from top to bottom. */
function inOrder(marks: LiveMark[]): LiveMark[] {
  const places = new Map(marks.map((mark) => [mark, mark.place()]));
  return marks.sort((a, b) => {
    const [p, q] = [places.get(a)!, places.get(b)!];
    // Marks of one check stand a fraction of a pixel apart.
    return Math.abs(p.x - q.x) > 0.5 ? p.x - q.x : p.y - q.y;
  });
}
