/** Shows another state of the page that is open in its place: nothing is loaded anew, and nothing else moves. */

/** Is sent to the document when its content has been replaced, so that scripts can see to what is new. */
export const SHOWN = "springtide:shown";

/** Fetches a page as it would be shown; null where the answer is not a page of ours. */
export async function fetchPage(address: string, signal?: AbortSignal): Promise<Document | null> {
  const answer = await fetch(address, { headers: { accept: "text/html" }, ...(signal && { signal }) });
  if (!answer.ok || !answer.headers.get("content-type")?.startsWith("text/html")) return null;
  const page = new DOMParser().parseFromString(await answer.text(), "text/html");
  return page.querySelector("main") === null ? null : page;
}

/** Puts a page's content, its title and the addresses of its figures in the place of what is shown. */
export function showPage(page: Document): void {
  for (const part of ["main", "#figures"]) {
    const shown = document.querySelector(part);
    const wanted = page.querySelector(part);
    if (shown !== null && wanted !== null) shown.replaceChildren(...wanted.childNodes);
  }
  document.title = page.title;
  document.dispatchEvent(new Event(SHOWN));
}

/** Says something to those who listen, without moving their focus. */
export function tell(text: string): void {
  const told = document.querySelector("#told");
  if (told !== null) told.textContent = text;
}
