/** One layer or view of a chart in Vega-Lite. */
export type Layer = Readonly<Record<string, unknown>>;
export type Row = Readonly<Record<string, unknown>>;

/**
 * A chart: what it looks like, which is the same for all charts of its shape, and the rows and values it shows.
 * Compiling a specification takes far longer than drawing it, so it is done once a shape.
 */
export interface Chart {
  /** Charts of one shape have one specification. */
  readonly shape: string;
  /** In Vega-Lite, before the theme; its data sets are names, its parameters are those of `values`. */
  readonly spec: Layer;
  readonly data: Readonly<Record<string, readonly Row[]>>;
  readonly values: Readonly<Record<string, unknown>>;
}
