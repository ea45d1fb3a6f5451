import { SHOWN } from "./show-page.ts";

/**
 * Brings charts to life when someone turns to them, by pointer, touch or keyboard. What is drawn already stays
 * until the live chart, of the same size, takes its place; until then nothing is fetched.
 */

const LIVE_CHART = "/assets/live-chart.js";
const LIVE_PICTURE = "/assets/live-picture.js";
const WAKING = ["pointerenter", "focus", "touchstart"] as const;

for (const drawing of drawings()) prepare(drawing);
document.addEventListener(SHOWN, () => {
  for (const drawing of drawings()) if (drawing.tabIndex !== 0) prepare(drawing);
});

function drawings(): NodeListOf<HTMLElement> {
  return document.querySelectorAll(".drawing:is([data-chart], [data-picture])");
}

function prepare(drawing: HTMLElement): void {
  drawing.tabIndex = 0;
  // A screen reader hands its arrow keys over only to what calls itself an application.
  drawing.role = "application";
  drawing.setAttribute("aria-roledescription", "chart; arrow keys move from mark to mark");
  const wake = (): void => {
    for (const type of WAKING) drawing.removeEventListener(type, wake);
    void bringToLife(drawing);
  };
  for (const type of WAKING) drawing.addEventListener(type, wake, { passive: true });
}

async function bringToLife(drawing: HTMLElement): Promise<void> {
  if (drawing.dataset.picture === undefined) {
    const { makeLive } = (await import(LIVE_CHART)) as typeof import("./live-chart.ts");
    await makeLive(drawing);
  } else {
    const { makePictureLive } = (await import(LIVE_PICTURE)) as typeof import("./live-picture.ts");
    await makePictureLive(drawing);
  }
}
