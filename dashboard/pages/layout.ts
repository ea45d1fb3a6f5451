import { html } from "htm/preact";
import { Fragment, h, type VNode } from "preact";
import { renderToString } from "preact-render-to-string";
import { askerMayForAll, whoAsks } from "../access/person.ts";
import { FORECASTS_ARE_NOT_CONFORMITY } from "../wording/cautions.ts";

export type Html = VNode | readonly Html[] | string | null;

export interface PageParts {
  /** For the tab and for those who listen: what the page says, not what it is called. */
  readonly title: string;
  /** Which entry of the navigation the page belongs to. */
  readonly place:
    | "today"
    | "units"
    | "fluids"
    | "returns"
    | "findings"
    | "record"
    | "intake"
    | "settings"
    | "how"
    | null;
  readonly body: Html;
  /** Where this page's figures are to be had; left out where a page has none. */
  readonly figures?: { readonly json: string; readonly csv: string };
  /** What was looked for, kept in the finder. */
  readonly sought?: string;
  /** Whether the page has charts that come alive. */
  readonly charts?: boolean;
  /** Whether the page tells how far work is that goes on meanwhile. */
  readonly progress?: boolean;
  /** Whether the page stands for another that is still being made. */
  readonly waiting?: boolean;
  /** Whether its tables sort, filter and turn their pages without a reload. */
  readonly inPlace?: boolean;
  /** Whether files may be dropped on the page. */
  readonly intake?: boolean;
  /** Whether it is for those who are not signed in: nothing on it leads to the other pages. */
  readonly bare?: boolean;
}

/** A part of a page as HTML text, for a script to put in its place. */
export function renderPart(part: Html): string {
  return renderToString(h(Fragment, null, part));
}

/** A whole page as HTML text, complete without scripts. */
export function renderPage(parts: PageParts): string {
  const { title, place, body, figures, sought = "", bare = false } = parts;
  const scripts = [
    // First: it keeps the content as it was sent, before other scripts add to it.
    ...(place === null ? [] : ["live"]),
    ...(bare ? [] : ["finder"]),
    ...(["progress", "charts", "intake", "waiting"] as const).filter((name) => parts[name] === true),
    ...(parts.inPlace === true ? ["in-place"] : []),
  ];
  const page = html`
    <html lang="en">
      <head>
        <meta charset="utf-8" />
        <meta name="viewport" content="width=device-width, initial-scale=1" />
        <meta name="color-scheme" content="light dark" />
        <title>${title} · Springtide</title>
        <link rel="preload" href="/assets/source-sans.woff2" as="font" type="font/woff2" crossorigin="" />
        <link rel="preload" href="/assets/source-serif.woff2" as="font" type="font/woff2" crossorigin="" />
        <link rel="stylesheet" href="/assets/style.css" />
        <link rel="icon" href="/assets/mark.svg" type="image/svg+xml" />
        ${scripts.map((name) => html`<script type="module" src=${`/assets/${name}.js`}></script>`)}
      </head>
      <body>
        <a class="skip" href="#content">Skip to the content</a>
        ${bare ? null : whoIsSignedIn()}
        <header class="top">
          <a class="name" href="/" aria-label="Springtide, to today">${mark()}<span>Springtide</span></a>
          ${bare ? null : ways(place, sought)}
        </header>
        <main id="content" tabindex="-1">${body}</main>
        <p id="told" class="unseen" role="status"></p>
        <aside id="news" aria-label="Newer results" hidden></aside>
        <footer>
          <p>${FORECASTS_ARE_NOT_CONFORMITY}</p>
          <p class="ways">
            <span id="figures">${figures === undefined ? null : html`This page’s figures: <a href=${figures.json}>JSON</a> <a href=${figures.csv}>CSV</a>`}</span>
            ${bare ? null : html`${placeLink("How it is figured", "/how", place === "how")} <a href="/notices">Notices</a> <a href="/api">For programs</a> ${askerMayForAll("administer") ? html`<a href="/trail">Trail</a>` : null} <button type="button" class="quiet" id="finder-key" hidden>Key / opens the finder: on</button>`}
          </p>
        </footer>
      </body>
    </html>
  `;
  return `<!doctype html>${renderToString(page)}`;
}

/** The way to every page, and the finder. */
function ways(place: PageParts["place"], sought: string): Html {
  return html`
    <nav aria-label="Pages">
      ${placeLink("Today", "/", place === "today")}
      ${placeLink("Units", "/units", place === "units")}
      ${placeLink("Fluids and baths", "/fluids", place === "fluids")}
      ${placeLink("Returns", "/returns", place === "returns")}
      ${placeLink("Findings", "/findings", place === "findings")}
      ${placeLink("Record", "/record", place === "record")}
      ${placeLink("Intake", "/intake", place === "intake")}
      ${placeLink("Settings", "/settings", place === "settings")}
    </nav>
    <search class="finder">
      <form action="/find" method="get">
        <label for="finder" class="unseen">Find a unit, lot or site</label>
        <input id="finder" name="q" type="search" value=${sought} placeholder="Find a unit, lot or site" autocomplete="off" spellcheck="false" />
        <kbd aria-hidden="true">/</kbd>
      </form>
    </search>
  `;
}

/** Who is signed in, and the way out; nothing where nobody is asked to sign in. */
function whoIsSignedIn(): Html {
  const { name, role } = whoAsks();
  if (name === null) return null;
  return html`
    <form class="signed-in" action="/sign-out" method="post" aria-label="Who is signed in">
      <span>${name}, ${role}</span>
      <a href="/tokens">Tokens</a>
      <a href="/sign-in/password">Password</a>
      ${askerMayForAll("administer") ? html`<a href="/people">People</a>` : null}
      <button type="submit" class="quiet">Sign out</button>
    </form>
  `;
}

function placeLink(text: string, href: string, here: boolean): Html {
  return here ? html`<a href=${href} aria-current="page">${text}</a>` : html`<a href=${href}>${text}</a>`;
}

/** The tide between its banks, and the one mark that stands out. */
function mark(): Html {
  return html`
    <svg class="mark" viewBox="0 0 34 20" aria-hidden="true" focusable="false">
      <path class="wave" d="M2 12 C5 4 9 4 13 10 S 21 19 26 9" />
      <circle class="dot" cx="28.6" cy="5.2" r="2.9" />
    </svg>
  `;
}
