import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { lazily } from "../../dashboard/lazily.ts";

describe("parts worked out when asked for", () => {
  it("are worked out once, and only those that are asked for", () => {
    const asked: string[] = [];
    const parts = lazily<{ a: number; b: { c: number } }>({
      a: () => asked.push("a"),
      b: () => ({ c: asked.push("b") }),
    });
    assert.deepEqual(asked, []);
    assert.equal(parts.b, parts.b);
    assert.deepEqual(asked, ["b"]);
    assert.deepEqual({ ...parts }, { a: 2, b: { c: 1 } });
    assert.equal(JSON.stringify(parts), '{"a":2,"b":{"c":1}}');
    assert.deepEqual(asked, ["b", "a"]);
  });
});
