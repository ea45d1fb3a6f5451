import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { RandomSource, Sfc32 } from "../../../dashboard/demo/random.ts";

/** From the state (0, 12345, 0, 1), twelve numbers thrown away: the public Go package maloquacious/prng, sfc32_test.go. */
const PUBLISHED = [
  235160590, 2967261163, 116171463, 2882324903, 362604721, 4227106926, 1933307004, 1608300071, 2256615412,
  2701957640,
];

const DRAWS = 100_000;

function draw(source: RandomSource, how: (source: RandomSource) => number): number[] {
  return Array.from({ length: DRAWS }, () => how(source));
}

describe("Sfc32", () => {
  it("gives the published numbers", () => {
    const generator = new Sfc32(0, 12345, 0, 1);
    for (let i = 0; i < 12; i++) generator.next();
    assert.deepEqual(
      PUBLISHED.map(() => generator.next()),
      PUBLISHED,
    );
  });
});

describe("RandomSource", () => {
  it("gives the same numbers for the same seed and path, others for any other", () => {
    const first = (source: RandomSource) => Array.from({ length: 4 }, () => source.uniform()).join();
    assert.equal(first(new RandomSource(7, 3, 1)), first(new RandomSource(7, 3, 1)));
    const others = [[8, 3, 1], [7, 4, 1], [7, 3, 2], [7, 1, 3], [7]] as const;
    const seen = new Set([first(new RandomSource(7, 3, 1))]);
    for (const [seed, ...path] of others) seen.add(first(new RandomSource(seed, ...path)));
    assert.equal(seen.size, others.length + 1);
  });

  it("fills sixteen bins evenly, also over neighbouring seeds", () => {
    const long = draw(new RandomSource(1), (s) => s.uniform());
    const neighbours = Array.from({ length: DRAWS }, (_, seed) => new RandomSource(seed, 5).uniform());
    for (const values of [long, neighbours]) {
      const bins = new Array<number>(16).fill(0);
      for (const value of values) bins[Math.floor(value * 16)]! += 1;
      const expected = DRAWS / 16;
      const chiSquare = bins.reduce((sum, n) => sum + (n - expected) ** 2 / expected, 0);
      // Upper 0.1 % point of chi-square with 15 degrees of freedom: 37.7 (tables).
      assert.ok(chiSquare < 37.7, `chi-square ${chiSquare}`);
    }
  });

  it("has normal moments and tails", () => {
    const values = draw(new RandomSource(2), (s) => s.normal(2));
    const mean = values.reduce((a, b) => a + b, 0) / DRAWS;
    const variance = values.reduce((a, b) => a + (b - mean) ** 2, 0) / DRAWS;
    const beyond = values.filter((v) => Math.abs(v) > 2 * 1.959964).length / DRAWS;
    // Four standard errors of each: 2/sqrt(n), 4 sqrt(2/n), sqrt(0.05 * 0.95/n).
    assert.ok(Math.abs(mean) < 4 * 0.00633, `mean ${mean}`);
    assert.ok(Math.abs(variance - 4) < 4 * 0.0179, `variance ${variance}`);
    assert.ok(Math.abs(beyond - 0.05) < 4 * 0.00069, `beyond ${beyond}`);
  });

  it("keeps bounds and weights", () => {
    const source = new RandomSource(3);
    assert.ok(draw(source, (s) => s.normalWithin(1, 0.5)).every((v) => Math.abs(v) <= 0.5));
    assert.ok(draw(source, (s) => s.between(-3, -1)).every((v) => v >= -3 && v < -1));
    const share =
      draw(source, (s) =>
        s.pickWeighted([
          [1, 3],
          [0, 1],
        ] as const),
      ).reduce((a, b) => a + b, 0) / DRAWS;
    assert.ok(Math.abs(share - 0.75) < 4 * 0.00137, `share ${share}`);
    assert.equal(source.pickWeighted([["only", 0.2]]), "only");
  });
});
