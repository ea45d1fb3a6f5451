import assert from "node:assert/strict";
import { isUtf8 } from "node:buffer";
import { readFileSync } from "node:fs";
import { describe, it } from "vitest";
import { committedFiles } from "./committed-files.ts";

/** Folders that exist on one machine only; put together here so that this file does not name one. */
const MACHINE_FOLDERS = ["work", "tmp", "home", "root", "Users", "private"];
const MACHINE_PATH = new RegExp(
  String.raw`(?<![\w.)\]}>*@~-])/(?:${MACHINE_FOLDERS.join("|")})/|[A-Z]:\\\w`,
  "g",
);

const LONGEST_FILE = 400;

describe("committed files", () => {
  const texts = committedFiles()
    .filter((file) => file !== "package-lock.json")
    .map((file) => ({ file, bytes: readFileSync(file) }))
    .filter(({ bytes }) => isUtf8(bytes) && !bytes.includes(0))
    .map(({ file, bytes }) => ({ file, text: bytes.toString("utf8") }));

  it("name no path of a machine", () => {
    assert.ok(texts.length > 50, `${texts.length} text files`);
    const found = texts.flatMap(({ file, text }) =>
      [...text.matchAll(MACHINE_PATH)].map(([path]) => `${file}: ${path}`),
    );
    assert.deepEqual(found, []);
  });

  it("would be caught naming one", () => {
    const folder = MACHINE_FOLDERS[0];
    for (const text of [
      `see /${folder}/main`,
      `"/${folder}/x"`,
      `(file:///${folder}/x)`,
      ["C:", "data"].join("\\"),
    ]) {
      assert.equal([...text.matchAll(MACHINE_PATH)].length, 1, text);
    }
    for (const text of [`node_modules/${folder}/x`, "/usr/bin/chromium", `./${folder}/x`]) {
      assert.equal([...text.matchAll(MACHINE_PATH)].length, 0, text);
    }
  });

  it("are short enough to read: source and tests of at most 400 lines", () => {
    const long = texts
      .filter(({ file }) => /\.(ts|mjs|cjs|css)$/.test(file))
      .map(({ file, text }) => ({ file, lines: text.split("\n").length - 1 }))
      .filter(({ lines }) => lines > LONGEST_FILE);
    assert.deepEqual(long, []);
  });
});
