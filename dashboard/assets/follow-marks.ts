import type { LiveMark } from "./live-marks.ts";

/** A mark answers to a pointer this near. Unit: CSS px. */
const REACH_PX = 28;
const TIP_AWAY_PX = 12;

/** Has a picture's marks tell their figures to pointer and keyboard; the marks of one check light up together. */
export function followMarks(drawing: HTMLElement, marks: readonly LiveMark[]): void {
  const tip = document.createElement("div");
  tip.className = "tip";
  tip.role = "status";
  tip.hidden = true;
  drawing.append(tip);
  drawing.classList.add("live");
  let current: LiveMark | null = null;

  const show = (mark: LiveMark | null): void => {
    if (mark === current) return;
    for (const lit of drawing.querySelectorAll(".near")) lit.classList.remove("near");
    current = mark;
    tip.hidden = mark === null;
    drawing.style.cursor = mark?.href === undefined ? "" : "pointer";
    if (mark === null) return;
    for (const other of marks) if (other.isSameCheckAs(mark)) other.element.classList.add("near");
    tip.textContent = mark.tip;
    placeTip(tip, drawing, mark);
  };
  const open = (mark: LiveMark | null): void => {
    if (mark?.href !== undefined) location.assign(mark.href);
  };

  drawing.addEventListener("pointermove", (event) => show(nearest(marks, event)));
  drawing.addEventListener("pointerleave", () => show(null));
  drawing.addEventListener("blur", () => show(null));
  drawing.addEventListener("click", (event) => open(nearest(marks, event)));
  drawing.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const at = current === null ? -1 : marks.indexOf(current);
    const to = { ArrowRight: at + 1, ArrowLeft: at - 1, Home: 0, End: marks.length - 1 }[event.key];
    if (to !== undefined) {
      event.preventDefault();
      show(marks[Math.max(0, Math.min(marks.length - 1, to))] ?? null);
    } else if (event.key === "Enter") open(current);
    else if (event.key === "Escape") show(null);
    else if (event.key.toLowerCase() === "t") openTable(drawing);
  });
}

function nearest(marks: readonly LiveMark[], event: MouseEvent): LiveMark | null {
  let best: LiveMark | null = null;
  let least = REACH_PX;
  for (const mark of marks) {
    const { x, y } = mark.place();
    const distance = Math.hypot(x - event.clientX, y - event.clientY);
    if (distance < least) [best, least] = [mark, distance];
  }
  return best;
}

/** Beside the mark, on the side where there is room. */
function placeTip(tip: HTMLElement, drawing: HTMLElement, mark: LiveMark): void {
  const frame = drawing.getBoundingClientRect();
  const place = mark.place();
  const [x, y] = [place.x - frame.left, place.y - frame.top];
  const left =
    x + TIP_AWAY_PX + tip.offsetWidth > frame.width ? x - TIP_AWAY_PX - tip.offsetWidth : x + TIP_AWAY_PX;
  const top = y - tip.offsetHeight - TIP_AWAY_PX;
  tip.style.transform = `translate(${Math.max(0, left)}px, ${top < 0 ? y + TIP_AWAY_PX : top}px)`;
}

function openTable(drawing: HTMLElement): void {
  const table = drawing.closest("figure")?.querySelector("details");
  if (table === null || table === undefined) return;
  table.open = true;
  table.querySelector("summary")?.focus();
}
