import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { leastSquares } from "../../../analysis/numeric/least-squares.ts";
import { assertClose } from "../../support/close.ts";
import fc from "../../support/property.ts";

const point = fc.record({
  x: fc.integer({ min: -50, max: 50 }),
  y: fc.double({ min: -100, max: 100, noNaN: true }),
});
const points = fc
  .uniqueArray(point, { selector: (p) => p.x, minLength: 3, maxLength: 30 })
  .map((list) => ({ x: list.map((p) => p.x), y: list.map((p) => p.y), ones: list.map(() => 1) }));

describe("leastSquares, for any points", () => {
  it("leaves residuals that no column can explain", () => {
    fc.assert(
      fc.property(points, ({ x, y, ones }) => {
        const { residuals } = leastSquares([ones, x], y);
        for (const column of [ones, x]) {
          const dot = column.reduce((sum, value, i) => sum + value * residuals[i]!, 0);
          // 30 products of values up to 50 and 100, each rounded once.
          assert.ok(Math.abs(dot) < 1e-9, `${dot}`);
        }
      }),
    );
  });

  it("adds the coefficients of what is added to the response", () => {
    fc.assert(
      fc.property(points, ({ x, y, ones }) => {
        const plain = leastSquares([ones, x], y);
        const moved = leastSquares(
          [ones, x],
          y.map((value, i) => value + 3 - 2 * x[i]!),
        );
        assertClose(moved.coefficients[0]!, plain.coefficients[0]! + 3, 1e-10);
        assertClose(moved.coefficients[1]!, plain.coefficients[1]! - 2, 1e-10);
      }),
    );
  });
});
