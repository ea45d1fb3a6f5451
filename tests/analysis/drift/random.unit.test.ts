import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { EvenNormals, hashText, NormalStream } from "../../../analysis/drift/random.ts";

function momentsOf(values: readonly number[]): { mean: number; variance: number } {
  const mean = values.reduce((a, b) => a + b, 0) / values.length;
  return { mean, variance: values.reduce((a, b) => a + (b - mean) ** 2, 0) / values.length };
}

describe("seeded normal values", () => {
  it("are the same for one seed and others for another", () => {
    const draw = (seed: number) => {
      const stream = new NormalStream(seed);
      return Array.from({ length: 5 }, () => stream.next());
    };
    assert.deepEqual(draw(7), draw(7));
    assert.notDeepEqual(draw(7), draw(8));
  });

  it("have mean 0 and variance 1", () => {
    const stream = new NormalStream(1);
    const { mean, variance } = momentsOf(Array.from({ length: 100_000 }, () => stream.next()));
    // Standard errors of 100,000 values: 0.003 and 0.0045.
    assert.ok(Math.abs(mean) < 0.01 && Math.abs(variance - 1) < 0.014, `${mean}, ${variance}`);
  });

  it("fill several dimensions more evenly than chance does", () => {
    const even = new EvenNormals(9, 3);
    const point = new Float64Array(9);
    const points = Array.from({ length: 512 }, () => {
      even.next(point);
      return [...point];
    });
    for (let j = 0; j < 9; j++) {
      const { mean, variance } = momentsOf(points.map((p) => p[j]!));
      // By chance the mean of 512 values would be off by 0.044.
      assert.ok(Math.abs(mean) < 0.03 && Math.abs(variance - 1) < 0.06, `${j}: ${mean}, ${variance}`);
    }
  });
});

describe("the hash of a name", () => {
  it("is FNV-1a's (its published check values)", () => {
    assert.equal(hashText(""), 0x811c9dc5);
    assert.equal(hashText("a"), 0xe40c292c);
    assert.equal(hashText("foobar"), 0xbf9cf968);
  });
});
