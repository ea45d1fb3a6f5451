import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { SingularDesignError } from "../../../analysis/errors.ts";
import { solveInPlace } from "../../../analysis/numeric/linear-solve.ts";
import { gaussLegendre } from "../../../analysis/numeric/quadrature.ts";
import { assertClose } from "../../support/close.ts";

describe("gaussLegendre", () => {
  it("is exact up to degree 2 n - 1", () => {
    for (const n of [1, 2, 5, 40]) {
      const { nodes, weights } = gaussLegendre(n, 0, 2);
      for (let degree = 0; degree < 2 * n; degree++) {
        const got = nodes.reduce((sum, x, i) => sum + weights[i]! * x ** degree, 0);
        assertClose((got * (degree + 1)) / 2 ** (degree + 1), 1, 1e-12);
      }
    }
  });

  it("has its nodes in order inside the interval", () => {
    const nodes = [...gaussLegendre(9, -3, 5).nodes];
    assert.deepEqual(
      nodes,
      [...nodes].sort((a, b) => a - b),
    );
    assert.ok(nodes[0]! > -3 && nodes[8]! < 5);
  });
});

describe("solveInPlace", () => {
  it("solves what needs its rows exchanged", () => {
    const matrix = [Float64Array.of(0, 2), Float64Array.of(4, 1)];
    assert.deepEqual([...solveInPlace(matrix, Float64Array.of(6, 11))], [2, 3]);
  });

  it("names equations that depend on each other", () => {
    const matrix = [Float64Array.of(1, 2), Float64Array.of(2, 4)];
    assert.throws(() => solveInPlace(matrix, Float64Array.of(1, 2)), SingularDesignError);
  });
});
