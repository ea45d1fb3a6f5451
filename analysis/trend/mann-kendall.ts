import { normalUpperTail } from "../distributions/normal.ts";
import { LengthMismatchError, TooFewPointsError } from "../errors.ts";
import { requireFinite } from "../numeric/moments.ts";

export interface MannKendall {
  /** Pairs that rise minus pairs that fall. */
  readonly s: number;
  readonly variance: number;
  /** Standardised with the continuity correction of 1; 0 where everything is tied. */
  readonly z: number;
  /** Kendall's tau-b, -1 to 1; 0 where everything is tied. */
  readonly tau: number;
  /** Two-sided. */
  readonly p: number;
  /** `exact`: over all orders, up to 50 points without ties; `normal`: from z. */
  readonly method: "exact" | "normal";
}

/** Up to here the orders are counted out. */
const EXACT_UP_TO = 50;

/**
 * Test for a trend that need not be a line.
 *
 * @remarks Neighbours that hang together make it reject too often. O(n^2).
 *
 * Source: Kendall (1970), Rank Correlation Methods, with ties in both variables; Gilbert (1987), 16.4.
 *
 * @param x Times, in any order, ties allowed. Shape: n >= 4.
 * @param y Shape: n.
 * @throws {TooFewPointsError} for fewer than 4 points: three in order come by chance once in three.
 * @throws {LengthMismatchError} for x and y of different length.
 * @throws {NonFiniteValueError} for NaN or infinity.
 */
export function mannKendall(x: ArrayLike<number>, y: ArrayLike<number>): MannKendall {
  const n = x.length;
  if (y.length !== n) throw new LengthMismatchError("mannKendall", n, y.length);
  if (n < 4) throw new TooFewPointsError("mannKendall", 4, n);
  requireFinite("mannKendall", x);
  requireFinite("mannKendall", y);

  let s = 0;
  for (let i = 0; i < n; i++) {
    for (let j = i + 1; j < n; j++) s += Math.sign(x[j]! - x[i]!) * Math.sign(y[j]! - y[i]!);
  }
  const variance = kendallVariance(x, y);
  const z = variance > 0 ? (s - Math.sign(s)) / Math.sqrt(variance) : 0;
  const pairs = (n * (n - 1)) / 2;
  const [untiedX, untiedY] = [pairs - tiedPairs(x), pairs - tiedPairs(y)];
  const hasTies = untiedX < pairs || untiedY < pairs;
  const exact = !hasTies && n <= EXACT_UP_TO;
  return {
    s,
    variance,
    z,
    tau: untiedX > 0 && untiedY > 0 ? s / Math.sqrt(untiedX * untiedY) : 0,
    p: exact ? exactP(n, (pairs + s) / 2) : Math.min(1, 2 * normalUpperTail(Math.abs(z))),
    method: exact ? "exact" : "normal",
  };
}

/** Variance of Kendall's S where there is no trend, ties in both variables taken into account. */
export function kendallVariance(x: ArrayLike<number>, y: ArrayLike<number>): number {
  const n = x.length;
  const [tx, ty] = [tieSizes(x), tieSizes(y)];
  const sum = (sizes: number[], term: (t: number) => number) =>
    sizes.reduce((total, t) => total + term(t), 0);
  const cubic = (t: number) => t * (t - 1) * (2 * t + 5);
  const triples = (t: number) => t * (t - 1) * (t - 2);
  const doubles = (t: number) => t * (t - 1);
  const both = n > 2 ? (sum(tx, triples) * sum(ty, triples)) / (9 * triples(n)) : 0;
  return (
    (cubic(n) - sum(tx, cubic) - sum(ty, cubic)) / 18 +
    both +
    (sum(tx, doubles) * sum(ty, doubles)) / (2 * doubles(n))
  );
}

/** Sizes of the groups of equal values, single values among them. */
function tieSizes(values: ArrayLike<number>): number[] {
  return [...Map.groupBy(Array.from(values), (value) => value).values()].map((group) => group.length);
}

function tiedPairs(values: ArrayLike<number>): number {
  return tieSizes(values).reduce((sum, t) => sum + (t * (t - 1)) / 2, 0);
}

/** Two-sided probability of as many or as few rising pairs, over all orders of n values. */
function exactP(n: number, rising: number): number {
  const chance = risingPairChances(n);
  const below = chance.slice(0, rising + 1).reduce((sum, p) => sum + p, 0);
  const above = chance.slice(rising).reduce((sum, p) => sum + p, 0);
  return Math.min(1, 2 * Math.min(below, above));
}

/** Probability of 0, 1, 2, ... rising pairs: the k-th value is put anywhere among the k - 1 before it. */
export function risingPairChances(n: number): Float64Array {
  let chances = Float64Array.of(1);
  for (let k = 2; k <= n; k++) {
    const next = new Float64Array(chances.length + k - 1);
    for (const [rising, p] of chances.entries()) {
      for (let more = 0; more < k; more++) next[rising + more]! += p / k;
    }
    chances = next;
  }
  return chances;
}
