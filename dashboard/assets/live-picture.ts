import { followMarks } from "./follow-marks.ts";
import { marksWithTips } from "./live-marks.ts";

/** Puts the same picture with figures on its marks in the place of the one that was sent with the page. */
export async function makePictureLive(drawing: HTMLElement): Promise<void> {
  const answer = await fetch(drawing.dataset.picture!);
  if (!answer.ok) return;
  const { body } = new DOMParser().parseFromString(await answer.text(), "text/html");
  for (const part of body.children) part.ariaHidden = "true";
  drawing.replaceChildren(...body.childNodes);
  followMarks(drawing, marksWithTips(drawing));
}
