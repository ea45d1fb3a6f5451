import { fetchPage, showPage, tell } from "./show-page.ts";

/**
 * Sorts, filters and turns the pages of tables without a reload: a link or a form that leads to the very page it
 * stands on is answered in its place. The address carries the state, so that back, a copied link and a reload lead to
 * the same. Without this script the same links and forms load the page.
 */

let under: AbortController | null = null;

document.addEventListener("click", (event) => {
  const link = (event.target as Element).closest?.<HTMLAnchorElement>("main a[href]");
  const plain = event.button === 0 && !(event.ctrlKey || event.metaKey || event.shiftKey || event.altKey);
  if (!link || !plain || event.defaultPrevented || !isThisPage(new URL(link.href))) return;
  event.preventDefault();
  void go(new URL(link.href), { turnsPage: link.closest(".pager") !== null });
});

document.addEventListener("submit", (event) => {
  const form = event.target as HTMLFormElement;
  const address = new URL(form.action);
  if (form.method !== "get" || form.closest("main") === null || !isThisPage(address)) return;
  event.preventDefault();
  const fields = [...new FormData(form)].filter(([, value]) => value !== "");
  address.search = new URLSearchParams(fields as [string, string][]).toString();
  void go(address);
});

document.addEventListener("change", (event) => {
  const chosen = (event.target as Element).closest?.("main form.chooser select");
  (chosen as HTMLSelectElement | null)?.form?.requestSubmit();
});

window.addEventListener("popstate", () => void go(new URL(location.href), { isBack: true }));

interface Going {
  readonly turnsPage?: boolean;
  /** The address is the browser's already. */
  readonly isBack?: boolean;
}

async function go(address: URL, { turnsPage = false, isBack = false }: Going = {}): Promise<void> {
  // Whoever has chosen something else meanwhile does not want the answer to the first.
  under?.abort();
  const mine = new AbortController();
  under = mine;
  const main = document.querySelector("main")!;
  main.ariaBusy = "true";
  try {
    const page = await fetchPage(address.href, mine.signal);
    if (page === null) return location.assign(address);
    const focused = nameOf(document.activeElement);
    if (!isBack) history.pushState(null, "", address);
    showPage(page);
    if (turnsPage) turnTo(main);
    else find(main, focused)?.focus({ preventScroll: true });
    tell(saidBy(main));
  } catch {
    if (!mine.signal.aborted) location.assign(address);
  } finally {
    if (under === mine) main.ariaBusy = null;
  }
}

/** What the content says in short: the parts that are marked so, else its head. */
function saidBy(main: HTMLElement): string {
  const parts = [...main.querySelectorAll("[data-told]")];
  const said = parts.length > 0 ? parts : [...main.querySelectorAll("h1")];
  return said.map((part) => part.textContent.trim()).join(". ");
}

function isThisPage(address: URL): boolean {
  return address.origin === location.origin && address.pathname === location.pathname && address.hash === "";
}

/** The new rows from the first on, for the eyes and for those who listen. */
function turnTo(main: HTMLElement): void {
  const pager = main.querySelector(".pager");
  const before = (one: Node): boolean =>
    pager !== null && (pager.compareDocumentPosition(one) & Node.DOCUMENT_POSITION_PRECEDING) !== 0;
  const table = [...main.querySelectorAll("table")].findLast(before);
  if (table === undefined) return;
  table.tabIndex = -1;
  table.focus();
  table.scrollIntoView();
}

/** What an element is called in the old content and in the new: where it stands, and its words. */
function nameOf(element: Element | null): string | null {
  if (element === null || element.closest("main") === null || element.matches("main")) return null;
  if (element.id !== "") return `#${element.id}`;
  return element.matches("a, button") ? wordsOf(element) : null;
}

function find(main: HTMLElement, name: string | null): HTMLElement | null {
  if (name === null) return null;
  if (name.startsWith("#")) return main.querySelector<HTMLElement>(`#${CSS.escape(name.slice(1))}`);
  return [...main.querySelectorAll<HTMLElement>("a, button")].find((one) => wordsOf(one) === name) ?? null;
}

/** Without the figures and marks that change with what is shown. */
function wordsOf(element: Element): string {
  return `${element.tagName} ${element.textContent.replace(/[\d,↑↓]/g, "").trim()}`;
}
