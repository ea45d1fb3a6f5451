import type { Population } from "../drift/population.ts";
import type { ChartDesign } from "./design.ts";
import { LevelChart } from "./level-chart.ts";
import type { LifeSeries } from "./life-series.ts";
import type { StreamLimits } from "./limits.ts";
import { QUANTITIES } from "./quantities.ts";
import { ScatterChart } from "./scatter-chart.ts";
import { StepChart, type StepTerms } from "./step-chart.ts";
import type { StreamSignal } from "./stream-signal.ts";

const BEND = QUANTITIES.indexOf("nonlinearity");

/** What a quantity of a life is charted by. */
export interface ChartTerms {
  /** As kept; null while there are fewer than eight checks. */
  readonly limits: StreamLimits | null;
  readonly design: ChartDesign;
}

/** The three charts of one quantity over one life: workspaces that the next life overwrites. */
export interface StreamCharts extends ChartTerms {
  readonly level: LevelChart;
  /** By check. Unit: sigma. */
  readonly step: Float64Array;
  readonly scatter: ScatterChart;
  readonly signals: readonly StreamSignal[];
}

/** All charts of one life. One object is a workspace for a fleet. */
export class LifeCharts {
  private readonly levels = QUANTITIES.map(() => new LevelChart());
  private readonly scatters = QUANTITIES.map(() => new ScatterChart());
  private readonly steps: StepChart;

  constructor(population: Population) {
    this.steps = new StepChart(population);
  }

  /** Whether check k of the last life was the second of two that showed a step. */
  isSecond(k: number): boolean {
    return this.steps.second[k] === 1;
  }

  /**
   * @param termsOf Of a quantity.
   * @param moving By quantity: share of the fleet model's movement of sound units that is allowed for.
   * @param trustsOne See {@link StepChart.run}.
   * @returns By quantity; null where no check of the life tells it.
   */
  run(
    series: LifeSeries,
    termsOf: (q: number) => ChartTerms,
    moving: readonly number[],
    trustsOne: boolean,
  ): (StreamCharts | null)[] {
    const { levels, scatters, steps } = this;
    const n = series.day.length;
    const terms = QUANTITIES.map((_, q) => {
      if (!series.movement[q]) return null;
      const { limits, design } = termsOf(q);
      const level = levels[q]!;
      level.run(series, q, limits, design, moving[q]!);
      return { limits, design };
    });
    steps.run(
      series,
      terms.map((of, q): StepTerms | null => {
        const { scale, df } = levels[q]!;
        return of && { design: of.design, scale, df };
      }),
      trustsOne,
    );
    return terms.map((of, q) => {
      if (!of) return null;
      const [level, scatter, step] = [levels[q]!, scatters[q]!, steps.z[q]!];
      // What lots, filling and temperature add leaves the bend alone: it tells how a check's readings agree.
      const within = terms[BEND] ? steps.z[BEND]! : null;
      scatter.run(step, within, steps.second, n, level.frozenFrom, of.design);
      const signals = [...level.signals, ...steps.signals[q]!, ...scatter.signals];
      return { ...of, level, step, scatter, signals: signals.sort((a, b) => a.at - b.at) };
    });
  }
}
