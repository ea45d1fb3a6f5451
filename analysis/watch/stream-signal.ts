export const CHARTS = ["level", "step", "scatter"] as const;
export type ChartName = (typeof CHARTS)[number];

/** One signal of one chart, as it was raised. */
export interface StreamSignal {
  readonly chart: ChartName;
  /** Index of the check at which it was raised. */
  readonly at: number;
  /** Index of the check that it began with: for a step that two checks show, the first of them. */
  readonly from: number;
  /** In the chart's own unit, signed for level and step. */
  readonly size: number;
  readonly limit: number;
  /** By how much the quantity is off. Unit: that of the quantity; 0 for scatter. */
  readonly change: number;
  /**
   * Scatter: whether the readings of one check agree less with each other, or else checks do; null where that cannot
   * be told, and for other charts.
   */
  readonly withinCheck: boolean | null;
}
