import type { UnitChecks } from "../fleet.ts";
import type { EffectGroup } from "./effect-blocks.ts";
import type { KindCounts } from "./kinds.ts";
import type { Population } from "./population.ts";
import type { OwnCounts } from "./population-counts.ts";
import type { SharedDesign } from "./shared-design.ts";

/** Some units of one group, whose sums are always made together: so the fit does not depend on who makes them. */
export interface FitPart {
  readonly number: number;
  readonly group: string;
  /** Positions in the sample that is learnt from. */
  readonly positions: readonly number[];
  readonly units: readonly UnitChecks[];
}

/** A step of the fit, to be done for every part. */
export type FitOrder =
  | { readonly step: "filter"; readonly design: SharedDesign; readonly population: Population }
  | { readonly step: "equate"; readonly groups: readonly EffectGroup[] }
  | { readonly step: "explain"; readonly population: Population; readonly value: Float64Array }
  | { readonly step: "lookBack"; readonly population: Population; readonly value: Float64Array }
  /** `lives`: by part, the numbers of those lives with enough checks that are to be weighed. */
  | {
      readonly step: "weigh";
      readonly populations: readonly Population[];
      readonly lives: readonly (readonly number[])[];
    }
  | { readonly step: "repeatability" };

/** Effects that a part's checks share, and how many of its units touch each. */
export interface Touched {
  readonly effects: Int32Array;
  readonly units: Int32Array;
}

/** What a part's lives sum to in the equations for its group's effects. */
export interface EquationSums {
  readonly matrix: Float64Array;
  readonly vector: Float64Array;
}

export interface ExplainedPart {
  readonly kinds: KindCounts;
  readonly own: OwnCounts;
}

/** What was found on the way back, and how many lives of each unit have enough checks to tell the noises. */
export interface EventCounts {
  steps: number;
  years: number;
  strays: number;
  readings: number;
  /** Sum of the natural logarithms of the units' repeatability variances. */
  logRepeatability: number;
  readonly enough: Int32Array;
}

/** What a part answers, by the step that was asked. */
export interface FitAnswers {
  readonly filter: Touched;
  readonly equate: EquationSums;
  readonly explain: ExplainedPart;
  readonly lookBack: EventCounts;
  /** Log-likelihood by population, then life. */
  readonly weigh: Float64Array;
  /** Variance by unit. */
  readonly repeatability: Float64Array;
}

/** A part's answer. */
export interface PartAnswer {
  readonly part: number;
  readonly answer: FitAnswers[keyof FitAnswers];
}

/** A fit, or a piece of one, that says what is to be done next for every part, and takes all parts' answers. */
export type InSteps<Result> = Generator<FitOrder, Result, readonly PartAnswer[]>;

/** Asks all parts, and gives their answers in the parts' order, whatever order they came in. */
export function* ask<Order extends FitOrder>(order: Order): InSteps<FitAnswers[Order["step"]][]> {
  const answers: FitAnswers[Order["step"]][] = [];
  for (const { part, answer } of yield order) answers[part] = answer as FitAnswers[Order["step"]];
  return answers;
}
