import type { Chart } from "./chart.ts";
import { drawChart } from "./draw.ts";
import { type SizeName, WIDTHS } from "./theme.ts";

/** A chart as drawn on the server. */
export interface ChartPicture {
  /** Width it was drawn for. Unit: CSS px. */
  readonly width: number;
  readonly size: SizeName | "only";
  readonly svg: string;
}
export type ChartPictures = readonly ChartPicture[];

/** Draws a chart once for each width it may be shown at. */
export async function picturesOf(chart: (size: SizeName) => Chart): Promise<ChartPictures> {
  const pictures: ChartPicture[] = [];
  for (const size of ["narrow", "middle", "wide"] as const) {
    pictures.push({ size, width: WIDTHS[size], svg: await drawChart(chart(size)) });
  }
  return pictures;
}
