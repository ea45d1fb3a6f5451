#!/usr/bin/env node
import { Agent, request } from "node:http";
import { parseArgs } from "node:util";

// node tests/bench/readers.ts URL [--readers N] [--seconds N]: many people reading at once, from a process of its own.

const { values, positionals } = parseArgs({
  allowPositionals: true,
  options: { readers: { type: "string", default: "200" }, seconds: { type: "string", default: "60" } },
});
const [given] = positionals;
const [readers, seconds] = [Number(values.readers), Number(values.seconds)];
if (given === undefined || !(readers >= 1) || !(seconds > 0)) {
  console.error("usage: readers.ts URL [--readers N] [--seconds N]");
  process.exit(2);
}
const url = given.replace(/\/$/, "");
const agent = new Agent({ keepAlive: true, maxSockets: readers });

interface Answer {
  readonly status: number;
  readonly ms: number;
}

function ask(path: string): Promise<Answer & { readonly body: string }> {
  const begunAt = performance.now();
  return new Promise((resolve, reject) => {
    const headers = { accept: "text/html", "accept-encoding": "identity" };
    request(url + path, { agent, headers }, (response) => {
      let body = "";
      response.setEncoding("utf8");
      response.on("data", (chunk) => {
        body += chunk;
      });
      response.on("error", reject);
      response.on("end", () =>
        resolve({ status: response.statusCode ?? 0, ms: performance.now() - begunAt, body }),
      );
    })
      .on("error", reject)
      .end();
  });
}

/** What people open: the places of the navigation, and units from the table. */
async function pagesToRead(): Promise<string[]> {
  const linksIn = async (path: string, like: RegExp) =>
    [...(await ask(path)).body.matchAll(like)].map(([, link]) => link!.replaceAll("&amp;", "&"));
  const places = await linksIn(
    "/",
    /<a href="(\/(?:units|fluids|returns|findings|record|intake|settings)?)"/g,
  );
  const units = await linksIn("/units", /<a href="(\/units\/[^"?/]+)"/g);
  return [...new Set(places), ...new Set(units)].slice(0, 40);
}

const pages = await pagesToRead();
// What is made once is not what this measures.
for (const path of pages) {
  for (;;) {
    const { status } = await ask(path);
    if (status !== 503) break;
    await new Promise((resolve) => setTimeout(resolve, 500));
  }
}

const answers: Answer[] = [];
const errors = new Map<string, number>();
const endsAt = performance.now() + 1000 * seconds;

async function read(reader: number): Promise<void> {
  for (let i = reader; performance.now() < endsAt; i++) {
    try {
      const { status, ms } = await ask(pages[i % pages.length]!);
      answers.push({ status, ms });
      if (status !== 200) errors.set(String(status), (errors.get(String(status)) ?? 0) + 1);
    } catch (error) {
      const what = error instanceof Error ? error.message : String(error);
      errors.set(what, (errors.get(what) ?? 0) + 1);
    }
    // Whoever has a page reads it for a moment.
    await new Promise((resolve) => setTimeout(resolve, 500 + 1000 * Math.random()));
  }
}

await Promise.all(Array.from({ length: readers }, (_, i) => read(i)));
const sorted = answers.map(({ ms }) => ms).sort((a, b) => a - b);
const at = (share: number) =>
  Math.round(sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))]!);
console.log(
  `${readers} readers, ${seconds} s, ${pages.length} pages: ${answers.length} answers, ${(answers.length / seconds).toFixed(0)} a second; ` +
    `median ${at(0.5)} ms, 99th percentile ${at(0.99)} ms, longest ${at(1)} ms; errors: ${errors.size === 0 ? "none" : JSON.stringify(Object.fromEntries(errors))}`,
);
agent.destroy();
process.exitCode = errors.size === 0 ? 0 : 1;
