import assert from "node:assert/strict";
import { existsSync, readFileSync } from "node:fs";
import { describe, it } from "vitest";
import { committedFiles } from "./committed-files.ts";

/** What the documents tell a reader to type: fenced blocks and code between back quotes. */
function codeIn(markdown: string): string {
  const fenced = [...markdown.matchAll(/^```[^\n]*\n([\s\S]*?)^```/gm)].map(([, code]) => code);
  const rest = markdown.replace(/^```[\s\S]*?^```/gm, "");
  const inline = [...rest.matchAll(/`([^`\n]+)`/g)].map(([, code]) => code);
  return [...fenced, ...inline].join("\n");
}

/** npm scripts that a text names; `npm ci` and the like are npm's own. */
function scriptsIn(code: string): Set<string> {
  const named = [...code.matchAll(/\bnpm run(?: -s)? ([\w:-]+)|\bnpm (start|test)\b/g)];
  return new Set(named.map(([, script, short]) => script ?? short ?? ""));
}

/** Commands of springtide that a text names, with `npx` before it or not. */
function commandsIn(code: string): Set<string> {
  return new Set(
    [...code.matchAll(/(?:^|npx )springtide ([a-z][a-z-]*)/gm)].map(([, command]) => command ?? ""),
  );
}

function missing(wanted: Iterable<string>, there: Iterable<string>): string[] {
  const known = new Set(there);
  return [...wanted].filter((name) => !known.has(name)).sort();
}

// Documents and commands are looked up where they are, so that each is held to this from its first commit on.
const documents = ["README.md", "DEVELOPERS.md"].filter((file) => existsSync(file));
const code = documents.map((file) => codeIn(readFileSync(file, "utf8"))).join("\n");
const { scripts } = JSON.parse(readFileSync("package.json", "utf8")) as { scripts: Record<string, string> };
/** A command's name stands once, where commander is told of it. */
const commands = committedFiles()
  .filter((file) => /^dashboard\/commands\/[\w-]+\.ts$/.test(file))
  .flatMap((file) => [...readFileSync(file, "utf8").matchAll(/new Command\("([a-z-]+)"\)/g)])
  .map(([, name]) => name ?? "")
  .filter((name) => name !== "springtide");

describe("what the documents tell a reader to type", () => {
  it("exists: npm scripts and commands", () => {
    assert.ok(commands.length > 0);
    assert.deepEqual(missing(scriptsIn(code), Object.keys(scripts)), []);
    assert.deepEqual(missing(commandsIn(code), commands), []);
  });

  it("is all there is: every npm script in one of them, every command in the README", () => {
    const untold = documents.length === 0 ? [] : missing(Object.keys(scripts), scriptsIn(code));
    assert.deepEqual(untold, []);
    if (!documents.includes("README.md")) return;
    assert.deepEqual(missing(commands, commandsIn(codeIn(readFileSync("README.md", "utf8")))), []);
  });

  it("names files that exist", () => {
    const paths = [...code.matchAll(/\b(?:ingest|analysis|dashboard|tests)\/[\w./-]*\w\.\w+/g)].map(
      ([path]) => path,
    );
    assert.deepEqual(
      paths.filter((path) => !existsSync(path)),
      [],
    );
  });
});

describe("the reading of documents", () => {
  const text =
    "Run `npm ci && npm test`, then:\n```\nnpm run check\nnpx springtide ingest data\n```\n`springtide serve`, springtide is.";

  it("sees scripts and commands in code, and nowhere else", () => {
    assert.deepEqual([...scriptsIn(codeIn(text))].sort(), ["check", "test"]);
    assert.deepEqual([...commandsIn(codeIn(text))].sort(), ["ingest", "serve"]);
  });

  it("tells what is missing", () => {
    assert.deepEqual(missing(["a", "b"], ["b"]), ["a"]);
  });
});
