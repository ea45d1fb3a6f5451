/** Nodes and weights of a rule: the integral of f is about the sum of weight x f(node). */
export interface QuadratureRule {
  readonly nodes: Float64Array;
  readonly weights: Float64Array;
}

/**
 * Gauss-Legendre rule on an interval, exact for polynomials up to degree 2 n - 1.
 *
 * Source: roots of the Legendre polynomial by Newton's method from Tricomi's approximation; Abramowitz and Stegun
 * 25.4.30.
 *
 * @param n Number of nodes, 1 or more.
 */
export function gaussLegendre(n: number, from: number, to: number): QuadratureRule {
  const nodes = new Float64Array(n);
  const weights = new Float64Array(n);
  const [middle, half] = [(from + to) / 2, (to - from) / 2];
  for (let i = 0; i < n; i++) {
    let x = Math.cos((Math.PI * (i + 0.75)) / (n + 0.5));
    let slope = 0;
    for (let step = 0; step < 8; step++) {
      const { value, derivative } = legendre(n, x);
      slope = derivative;
      x -= value / derivative;
    }
    nodes[i] = middle - half * x;
    weights[i] = (2 * half) / ((1 - x * x) * slope * slope);
  }
  return { nodes, weights };
}

/** Value and derivative of the Legendre polynomial of degree n, by its recurrence. */
function legendre(n: number, x: number): { readonly value: number; readonly derivative: number } {
  let before = 1;
  let value = x;
  for (let k = 2; k <= n; k++) {
    [before, value] = [value, ((2 * k - 1) * x * value - (k - 1) * before) / k];
  }
  return { value, derivative: (n * (x * value - before)) / (x * x - 1) };
}
