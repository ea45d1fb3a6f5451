/**
 * Tells how far work is that the server does meanwhile. Without this script the page says how far it was, with a link
 * to look again. What is being read is never moved: a page that shows something already says that there is more.
 */

interface Answer {
  readonly progress: { readonly done: number; readonly of: number } | null;
}

const WAIT_MS = 2000;

for (const part of document.querySelectorAll<HTMLElement>("[data-progress]")) follow(part);

function follow(part: HTMLElement): void {
  const bar = part.querySelector("progress");
  const told = part.querySelector<HTMLElement>(".told");
  if (bar === null || told === null) return;
  const look = async (): Promise<void> => {
    const answer = await fetch(part.dataset.progress!);
    if (!answer.ok) return;
    const { progress } = (await answer.json()) as Answer;
    if (progress === null) {
      if (part.dataset.shown === "nothing") location.reload();
      else told.textContent = "The new record is there.";
      return;
    }
    bar.max = Math.max(1, progress.of);
    bar.value = progress.done;
    if (progress.of > 0) told.textContent = `${progress.done} of ${progress.of} days replayed`;
    setTimeout(() => void look().catch(() => {}), WAIT_MS);
  };
  setTimeout(() => void look().catch(() => {}), WAIT_MS);
}
