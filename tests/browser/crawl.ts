import type { RunningApp } from "../dashboard/support/running-app.ts";

/**
 * Every kind of page that links lead to, from the front page on: two addresses are of one kind where they differ only
 * in names that hold a digit, as units, lots and rows do, or in what they ask for.
 *
 * @returns Kind of page, such as `/units/*`, and the first address of it that was met.
 */
export async function crawl(app: RunningApp): Promise<Map<string, string>> {
  const met = new Map([["/", "/"]]);
  const toRead = ["/"];
  for (let path = toRead.shift(); path !== undefined; path = toRead.shift()) {
    const html = await (await app.get(path)).text();
    for (const [, found] of html.matchAll(/<a [^>]*?href="(\/[^"#]*)/g)) {
      const href = found!.replaceAll("&amp;", "&");
      const kind = kindOf(href);
      if (met.has(kind) || !(await isPage(app, href))) continue;
      met.set(kind, href);
      toRead.push(href);
    }
  }
  return met;
}

function kindOf(href: string): string {
  const { pathname } = new URL(href, "http://here");
  return pathname
    .split("/")
    .map((part) => (/\d/.test(part) ? "*" : part))
    .join("/");
}

/** Files, figures and what leads elsewhere are not. */
async function isPage(app: RunningApp, href: string): Promise<boolean> {
  if (/[?&]format=/.test(href)) return false;
  const response = await app.get(href);
  await response.body?.cancel();
  return response.headers.get("content-type")?.startsWith("text/html") === true && response.status === 200;
}
