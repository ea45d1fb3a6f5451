import assert from "node:assert/strict";
import fc from "fast-check";
import { describe, it } from "vitest";
import { type Line, LineSplitter, MAX_LINE_LENGTH } from "../../../ingest/text/split-lines.ts";

function linesOf(pieces: readonly string[]): Line[] {
  const splitter = new LineSplitter();
  return [...pieces.flatMap((piece) => splitter.push(piece)), ...splitter.end()];
}

describe("LineSplitter", () => {
  it("takes every kind of line end, and counts as an editor does", () => {
    assert.deepEqual(linesOf(["a\nb\r\nc\rd\n\ne"]), [
      { number: 1, text: "a", end: "\n" },
      { number: 2, text: "b", end: "\r\n" },
      { number: 3, text: "c", end: "\r" },
      { number: 4, text: "d", end: "\n" },
      { number: 5, text: "", end: "\n" },
      { number: 6, text: "e", end: "" },
    ]);
  });

  it("has no line after the last line end", () => {
    assert.equal(linesOf(["a\n"]).length, 1);
    assert.deepEqual(linesOf(["a\r"]), [{ number: 1, text: "a", end: "\r" }]);
    assert.deepEqual(linesOf([""]), []);
  });

  it("gives the same lines however the text is cut, and loses no character", () => {
    const text = fc.array(fc.constantFrom("a", "b", "\n", "\r", "\r\n", '"')).map((parts) => parts.join(""));
    fc.assert(
      fc.property(text, fc.array(fc.nat(40)), (whole, cuts) => {
        const places = [0, ...cuts.filter((cut) => cut < whole.length).sort((a, b) => a - b), whole.length];
        const pieces = places.slice(1).map((end, i) => whole.slice(places[i], end));
        const lines = linesOf(pieces);
        assert.deepEqual(lines, linesOf([whole]));
        assert.equal(lines.map((line) => line.text + line.end).join(""), whole);
      }),
    );
  });

  it("gives up on a line without end", () => {
    const splitter = new LineSplitter();
    splitter.push("short\n");
    assert.throws(
      () => splitter.push("x".repeat(MAX_LINE_LENGTH + 1)),
      /Line 2 is longer than 1,048,576 characters/,
    );
  });
});
