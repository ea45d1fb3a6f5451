import assert from "node:assert/strict";
import fc from "fast-check";
import { describe, it } from "vitest";
import { Utf8Watch } from "../../../ingest/text/encoding.ts";

/** What the language's own decoder says of all bytes at once. */
function isUtf8(bytes: Uint8Array): boolean {
  try {
    new TextDecoder("utf-8", { fatal: true }).decode(bytes);
    return true;
  } catch {
    return false;
  }
}

describe("Utf8Watch", () => {
  it("answers as the decoder does, wherever the pieces end and whatever was damaged", () => {
    const text = fc.string({ unit: "binary", maxLength: 12 }).map((written) => Buffer.from(written));
    const damaged = fc.tuple(text, fc.nat(20), fc.nat(255)).map(([bytes, at, byte]) => {
      const copy = Buffer.from(bytes);
      if (at < copy.length) copy[at] = byte;
      return copy;
    });
    const cut = fc.tuple(text, fc.nat(20)).map(([bytes, at]) => bytes.subarray(0, at));
    const seen = { valid: 0, invalid: 0 };
    fc.assert(
      fc.property(fc.oneof(text, damaged, cut), fc.integer({ min: 1, max: 5 }), (bytes, pieceBytes) => {
        const watch = new Utf8Watch();
        for (let at = 0; at < bytes.length; at += pieceBytes) watch.push(bytes.subarray(at, at + pieceBytes));
        const expected = isUtf8(bytes);
        assert.equal(watch.end(), expected);
        seen[expected ? "valid" : "invalid"]++;
      }),
      { numRuns: 1000 },
    );
    assert.ok(seen.valid > 100 && seen.invalid > 100, JSON.stringify(seen));
  });
});
