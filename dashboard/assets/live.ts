import { fetchPage, SHOWN, showPage, tell } from "./show-page.ts";
import { takeOver } from "./take-over.ts";

/**
 * Tells of new results while a page is open. What can be brought up to date without moving anything is; the rest is
 * offered in a line at the foot of the window, and nothing that is being read moves.
 */

interface StandingEvent {
  readonly revision: number;
  readonly shown: { readonly revision: number; readonly as_of: string; readonly ms_ago: number } | null;
  readonly doing: string | null;
}

const LISTEN_AFTER_MS = 1500;

const news = document.querySelector<HTMLElement>("#news");
/** The content as the server sent it: scripts change what is shown. */
let sent = contentOf(document);
let seen: string | null = null;
let stream: EventSource | null = null;

document.addEventListener(SHOWN, () => {
  sent = contentOf(document);
  hideNews();
});
// A browser opens few connections to one server: a page that nobody sees takes none of them.
document.addEventListener("visibilitychange", listen);
// What the page itself needs comes first.
setTimeout(listen, LISTEN_AFTER_MS);

function listen(): void {
  if (document.hidden) {
    stream?.close();
    stream = null;
  } else if (stream === null) {
    stream = new EventSource("/events");
    stream.addEventListener("standing", (event) => {
      void heed(JSON.parse(event.data as string) as StandingEvent).catch(() => {});
    });
  }
}

async function heed({ revision, shown, doing }: StandingEvent): Promise<void> {
  if (news?.dataset.offers === undefined) showNews(doing);
  if (shown === null) return;
  const state = `${revision} ${shown.revision} ${shown.as_of}`;
  const isFirst = seen === null;
  const isOld = seen === state || (isFirst && shown.ms_ago > sinceAsked());
  seen = state;
  if (!isOld) await compare();
}

/** How long ago this page was asked for. Unit: ms. */
function sinceAsked(): number {
  const [navigation] = performance.getEntriesByType("navigation") as PerformanceNavigationTiming[];
  return performance.now() - (navigation?.requestStart ?? 0);
}

async function compare(): Promise<void> {
  const page = await fetchPage(location.href);
  if (page === null) return;
  const wanted = contentOf(page);
  if (sent.innerHTML === wanted.innerHTML) return;
  const left = takeOver(document.querySelector("main")!, sent, wanted);
  if (left > 0) offer();
  else {
    sent = wanted;
    say("The figures on this page have just been brought up to date.");
    document.title = page.title;
  }
}

/** A copy, so that showing one does not take it away. */
function contentOf(page: Document): HTMLElement {
  return page.querySelector("main")!.cloneNode(true) as HTMLElement;
}

function offer(): void {
  if (news === null) return;
  const show = document.createElement("button");
  show.textContent = "Show them";
  show.addEventListener("click", () => {
    void fetchPage(location.href).then((page) => {
      if (page === null) return location.reload();
      showPage(page);
      document.querySelector<HTMLElement>("main")!.focus({ preventScroll: true });
      tell(document.querySelector("h1")?.textContent ?? "");
    });
  });
  say("New results have come in.", show);
  news.dataset.offers = "";
}

/** To the eyes in the line, to the ears at once. */
function say(text: string, ...more: readonly HTMLElement[]): void {
  const away = document.createElement("button");
  away.className = "quiet";
  away.textContent = "Not now";
  if (more.length === 0) away.textContent = "Hide";
  away.addEventListener("click", hideNews);
  news?.replaceChildren(text, ...more, away);
  if (news !== null) news.hidden = false;
  tell(text);
}

/** What is under way: seen, not announced at every step. */
function showNews(doing: string | null): void {
  if (news === null) return;
  if (doing === null) {
    if (news.dataset.doing !== undefined) hideNews();
    return;
  }
  news.replaceChildren(doing);
  news.dataset.doing = "";
  news.hidden = false;
}

function hideNews(): void {
  if (news === null) return;
  news.hidden = true;
  news.replaceChildren();
  delete news.dataset.offers;
  delete news.dataset.doing;
}
