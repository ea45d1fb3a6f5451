/** How the three contributions add: as limits (linear) or as independent uncertainties (root sum of squares). */
export type Combination = "linear" | "root-sum-square";

export interface ToleranceShares {
  /** Fluid: % of the certified value. */
  readonly fluidPercent: number;
  /** Instrument: % of full-scale range. */
  readonly instrumentPercent: number;
  /** Accessory: % of full-scale range. */
  readonly accessoryPercent: number;
  readonly combine: Combination;
}

export interface ToleranceRule extends ToleranceShares {
  readonly perGeometry: Readonly<Record<string, Partial<ToleranceShares>>>;
}
