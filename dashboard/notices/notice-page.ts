import { html } from "htm/preact";
import { renderToString } from "preact-render-to-string";
import { noticeText } from "../wording/notices.ts";
import type { NoticeContent } from "./content.ts";

/** A notice as the two parts of a mail. `publicAddress` is where links lead; null: there are none. */

export function noticePlain(
  content: NoticeContent,
  publicAddress: string | null,
): { readonly subject: string; readonly text: string } {
  const { subject, parts, foot } = noticeText(content);
  const blocks = [
    ...parts.map(({ heading, lines, path }) =>
      [heading, ...lines, ...(publicAddress === null || path === null ? [] : [publicAddress + path])].join(
        "\n",
      ),
    ),
    ...foot,
    ...choicesText(content, publicAddress),
  ];
  return { subject, text: `${blocks.join("\n\n")}\n` };
}

export function noticeHtml(content: NoticeContent, publicAddress: string | null): string {
  const { subject, parts, foot } = noticeText(content);
  const page = html`
    <html lang="en">
      <head><meta charset="utf-8" /><title>${subject}</title></head>
      <body>
        ${parts.map(
          ({ heading, lines, path }) => html`
            <h2>${heading}</h2>
            ${lines.map((line) => html`<p>${line}</p>`)}
            ${
              publicAddress === null || path === null
                ? null
                : html`<p><a href=${publicAddress + path}>${publicAddress + path}</a></p>`
            }
          `,
        )}
        <hr />
        ${[...foot, ...choicesText(content, publicAddress)].map((line) => html`<p><small>${line}</small></p>`)}
      </body>
    </html>
  `;
  return `<!doctype html>${renderToString(page)}`;
}

/** Where a person chooses otherwise. */
function choicesText({ kind }: NoticeContent, publicAddress: string | null): string[] {
  if (kind === "trial" || publicAddress === null) return [];
  return [`You are told of this because you asked for it: ${publicAddress}/notices`];
}
