import type { Browser, BrowserContextOptions, Page } from "playwright-core";

/** A page that keeps account of what went wrong on it. */
export interface WatchedPage {
  readonly page: Page;
  /** Errors of scripts, warnings of the console (among them every breach of the content policy), failed requests. */
  readonly complaints: string[];
  /** Sum of the layout shifts so far, as browsers score them: 0 is none. */
  layoutShift(): Promise<number>;
  close(): Promise<void>;
}

export async function openPage(browser: Browser, options: BrowserContextOptions): Promise<WatchedPage> {
  const context = await browser.newContext(options);
  const page = await context.newPage();
  const complaints: string[] = [];
  page.on("pageerror", (error) => complaints.push(`script: ${error.message}`));
  page.on("console", (message) => {
    if (message.type() === "error" || message.type() === "warning") complaints.push(message.text());
  });
  page.on("requestfailed", (request) => {
    // A page that is left gives up the stream of news.
    if (!request.url().endsWith("/events")) complaints.push(`failed: ${request.url()}`);
  });
  if (options.javaScriptEnabled !== false) await page.addInitScript(sumLayoutShifts);
  return {
    page,
    complaints,
    layoutShift: () => page.evaluate(() => (window as unknown as { layoutShift: number }).layoutShift),
    close: () => context.close(),
  };
}

/** Runs in the page, before anything of its own. */
function sumLayoutShifts(): void {
  const sums = window as unknown as { layoutShift: number };
  sums.layoutShift = 0;
  new PerformanceObserver((list) => {
    for (const entry of list.getEntries() as unknown as { value: number; hadRecentInput: boolean }[]) {
      if (!entry.hadRecentInput) sums.layoutShift += entry.value;
    }
  }).observe({ type: "layout-shift", buffered: true });
}
