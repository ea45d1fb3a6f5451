import { YEAR_DAYS } from "./days.ts";
import { advance, type OwnError } from "./own-error.ts";
import { type RandomSource, STREAM } from "./random.ts";
import type { Fault } from "./scenario.ts";

/** A sudden shift of the unit's own error. Unit: % of full scale. */
export interface Step {
  readonly day: number;
  readonly zero: number;
  readonly span: number;
}

/** A unit's own error through time. It only moves forward: call `moveTo` with days that never fall. */
export class LifePath {
  readonly state: OwnError;
  day: number;
  /** Start of the present life. */
  lifeStart: number;
  readonly steps: Step[] = [];
  private readonly lives: RandomSource;
  private readonly wander: RandomSource;
  private readonly incidents: RandomSource;
  private readonly fault: Fault;
  private readonly stepsPerYear: number;
  private nextStepDay: number;
  private cured = false;

  /** @param source Gives the unit's stream of random numbers for a purpose. */
  constructor(
    source: (stream: number) => RandomSource,
    fault: Fault,
    startDay: number,
    stepsPerYear: number,
  ) {
    this.lives = source(STREAM.lives);
    this.wander = source(STREAM.wander);
    this.incidents = source(STREAM.steps);
    this.fault = fault;
    this.stepsPerYear = stepsPerYear;
    this.day = startDay;
    this.lifeStart = startDay;
    this.state = freshState(this.lives);
    this.setRates();
    this.nextStepDay = this.drawNextStep();
  }

  moveTo(day: number): void {
    while (this.nextStepDay <= day) {
      this.drift(this.nextStepDay);
      const step = this.drawStep();
      this.state.zero += step.zero;
      this.state.span += step.span;
      this.steps.push(step);
      this.nextStepDay = this.drawNextStep();
    }
    this.drift(day);
  }

  /** Ends the life: the error starts afresh, and drift may or may not come back. */
  adjust(action: "adjusted" | "repaired"): void {
    if (action === "repaired" && this.lives.chance(0.6)) this.cured = true;
    Object.assign(this.state, freshState(this.lives));
    this.lifeStart = this.day;
    this.setRates();
  }

  private drift(day: number): void {
    if (day <= this.day) return;
    advance(this.state, (day - this.day) / YEAR_DAYS, this.wander);
    this.day = day;
  }

  private drawNextStep(): number {
    if (this.stepsPerYear <= 0) return Number.POSITIVE_INFINITY;
    return this.day + (-Math.log(1 - this.incidents.uniform()) / this.stepsPerYear) * YEAR_DAYS;
  }

  /** A knock shifts the zero; an overload or a fall also the span. */
  private drawStep(): Step {
    const random = this.incidents;
    const fall = random.chance(0.6);
    return {
      day: this.day,
      zero: random.sign() * random.between(0.1, fall ? 0.5 : 1.4),
      span: fall ? random.sign() * random.between(0.6, 3.4) : random.normal(0.2),
    };
  }

  private setRates(): void {
    const { lives: random, state } = this;
    state.zeroPerYear = random.normal(0.12);
    state.spanPerYear = random.normal(0.28);
    state.curvaturePerYear = random.normal(0.07);
    state.frictionPerYear = Math.abs(random.normal(0.03));
    // Now and then a unit drifts in one life and not in the next.
    if (this.cured || random.chance(0.12)) return;
    switch (this.fault) {
      case "span":
        state.spanPerYear += random.sign() * random.between(2, 6.5);
        return;
      case "zero":
        state.zeroPerYear += random.sign() * random.between(1, 3.8);
        return;
      case "accelerating":
        state.spanPerYearSquared = random.sign() * random.between(4, 11);
        return;
      case "friction":
        state.frictionPerYear += random.between(6, 18);
        return;
      case "curvature":
        state.curvaturePerYear += random.sign() * random.between(1.8, 4.8);
        return;
      case "healthy":
      case "scatter":
        return;
    }
  }
}

/** What an adjustment leaves behind. */
function freshState(random: RandomSource): OwnError {
  return {
    zero: random.normal(0.13),
    span: random.normal(0.24),
    curvature: random.normal(0.11),
    friction: Math.abs(random.normal(0.09)),
    zeroPerYear: 0,
    spanPerYear: 0,
    curvaturePerYear: 0,
    frictionPerYear: 0,
    spanPerYearSquared: 0,
  };
}
