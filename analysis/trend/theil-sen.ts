import { normalQuantile } from "../distributions/normal.ts";
import { LengthMismatchError, SingularDesignError, TooFewPointsError } from "../errors.ts";
import { requireFinite } from "../numeric/moments.ts";
import { kendallVariance } from "./mann-kendall.ts";

export interface TheilSen {
  /** Median of the slopes of all pairs. Unit: that of y over that of x. */
  readonly slope: number;
  /** Median of y - slope x. */
  readonly intercept: number;
  /** Confidence limits of the slope; null where the points are too few for one. */
  readonly lower: number | null;
  readonly upper: number | null;
  /** Pairs with different x. */
  readonly pairs: number;
}

/**
 * Line that up to 29 % of wild points cannot pull away.
 *
 * @remarks
 * A robust "is there a trend"; no forecast. Pairs with equal x are left out. O(n^2 log n).
 *
 * Source: Sen (1968), J. Amer. Statist. Assoc. 63:1379, limits by the normal approximation with ties taken into
 * account, between order statistics where the rank is not whole: Gilbert (1987), Statistical Methods for
 * Environmental Pollution Monitoring, 16.5.
 *
 * @param x In any order, ties allowed. Shape: n >= 2.
 * @param y Shape: n.
 * @param confidence Of the limits, between 0 and 1.
 * @throws {TooFewPointsError} for fewer than 2 points.
 * @throws {LengthMismatchError} for x and y of different length.
 * @throws {SingularDesignError} where all x are equal.
 * @throws {NonFiniteValueError} for NaN or infinity.
 */
export function theilSen(x: ArrayLike<number>, y: ArrayLike<number>, confidence = 0.95): TheilSen {
  const n = x.length;
  if (y.length !== n) throw new LengthMismatchError("theilSen", n, y.length);
  if (n < 2) throw new TooFewPointsError("theilSen", 2, n);
  requireFinite("theilSen", x);
  requireFinite("theilSen", y);

  const slopes: number[] = [];
  for (let i = 0; i < n; i++) {
    for (let j = i + 1; j < n; j++) {
      if (x[i] !== x[j]) slopes.push((y[j]! - y[i]!) / (x[j]! - x[i]!));
    }
  }
  if (slopes.length === 0) throw new SingularDesignError("theilSen", "all x are equal");
  const sorted = Float64Array.from(slopes).sort();
  const slope = median(sorted);
  const residuals = Float64Array.from({ length: n }, (_, i) => y[i]! - slope * x[i]!).sort();

  const reach = normalQuantile((1 + confidence) / 2) * Math.sqrt(kendallVariance(x, y));
  return {
    slope,
    intercept: median(residuals),
    lower: atRank(sorted, (sorted.length - reach) / 2),
    upper: atRank(sorted, (sorted.length + reach) / 2 + 1),
    pairs: sorted.length,
  };
}

function median(sorted: Float64Array): number {
  const half = sorted.length >> 1;
  return sorted.length % 2 === 1 ? sorted[half]! : (sorted[half - 1]! + sorted[half]!) / 2;
}

/** Value at a rank counted from 1, between two neighbours in proportion; null outside 1 to n. */
function atRank(sorted: Float64Array, rank: number): number | null {
  if (rank < 1 || rank > sorted.length) return null;
  const below = Math.floor(rank);
  const low = sorted[below - 1]!;
  return rank === below ? low : low + (rank - below) * (sorted[below]! - low);
}
