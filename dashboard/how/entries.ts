import { CHART_FIGURES } from "./charts.ts";
import type { FigureEntry } from "./entry.ts";
import { FORECAST_FIGURES } from "./forecasts.ts";
import { READING_FIGURES } from "./readings.ts";

/** Every figure that pages name, by what it is about. */
export const FIGURE_GROUPS: readonly { readonly title: string; readonly entries: readonly FigureEntry[] }[] =
  [
    { title: "Readings and checks", entries: READING_FIGURES },
    { title: "Forecasts, fluids, returns", entries: FORECAST_FIGURES },
    { title: "Control charts", entries: CHART_FIGURES },
  ];

export const FIGURE_ENTRIES: readonly FigureEntry[] = FIGURE_GROUPS.flatMap(({ entries }) => entries);
