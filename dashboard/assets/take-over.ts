/**
 * Brings those parts of a page up to date whose new figures take the very place of the old ones.
 *
 * @param main The content as it is shown.
 * @param sent The same as the server sent it.
 * @param wanted The new content.
 * @returns How many parts have changed in a way that would move something, and were left as they are.
 */
export function takeOver(main: Element, sent: Element, wanted: Element): number {
  const [shownParts, sentParts, wantedParts] = [main, sent, wanted].map(({ children }) => [...children]);
  if (shownParts!.length !== sentParts!.length || sentParts!.length !== wantedParts!.length) return 1;
  let left = 0;
  for (const [i, part] of shownParts!.entries()) {
    const [before, after] = [sentParts![i]!, wantedParts![i]!];
    if (!before.isEqualNode(after) && !replace(part, before, after)) left++;
  }
  return left;
}

function replace(part: Element, before: Element, after: Element): boolean {
  if (isInUse(part) || outlineOf(before) !== outlineOf(after)) return false;
  const height = part.getBoundingClientRect().height;
  const fresh = document.importNode(after, true);
  part.replaceWith(fresh);
  if (Math.abs(fresh.getBoundingClientRect().height - height) < 1) return true;
  fresh.replaceWith(part);
  return false;
}

/** Somebody is at work in it, or has opened something there. */
function isInUse(part: Element): boolean {
  const selection = getSelection();
  return (
    part.contains(document.activeElement) ||
    part.querySelector("details[open], .drawing.live") !== null ||
    (selection !== null && !selection.isCollapsed && selection.containsNode(part, true))
  );
}

/** What stands in it, in order: the same units in the same rows, the same heads. */
function outlineOf(part: Element): string {
  const heads = [...part.querySelectorAll("h1, h2, h3, a[href], tr, label")];
  return heads.map((one) => `${one.tagName} ${one.getAttribute("href") ?? ""}`).join("\n");
}
