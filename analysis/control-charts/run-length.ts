import { normalCdf, normalPdf, normalUpperTail } from "../distributions/normal.ts";
import { solveInPlace } from "../numeric/linear-solve.ts";
import { gaussLegendre } from "../numeric/quadrature.ts";
import { asymptoticSd } from "./ewma.ts";

/**
 * Expected number of values up to the first signal, for independent normal values of standard deviation 1 whose mean
 * has shifted by `shift` from the first value on. All in standard deviations of a single value.
 */

/** Nodes for an interval of this many standard deviations of a step: 1e-8 of the run length over the designs in use. */
export const nodesFor = (width: number) => Math.ceil(18 + 2 * width);

/** Chart for individual values: signals beyond plus or minus `limitSigma`. */
export function individualsRunLength(limitSigma: number, shift = 0): number {
  requireDesign({ limitSigma });
  return 1 / (normalUpperTail(limitSigma - shift) + normalUpperTail(limitSigma + shift));
}

export interface EwmaRunLengthDesign {
  /** Above 0 to 1. */
  readonly weight: number;
  /** Distance of the limits from the centre. Unit: standard deviations of the mean. */
  readonly limitSigma: number;
  readonly limits?: "exact" | "asymptotic";
  /** Share of values that are strays, either way; each counts as `limitSigma` sigma of a value. Asymptotic limits only. */
  readonly strayShare?: number;
}

/**
 * Chart of exponentially weighted means, started at its centre.
 *
 * @remarks
 * The run length from a mean of u solves L(u) = 1 + integral of L(v) over the limits, v normal about
 * (1 - weight) u + weight shift. With exact limits the equation is carried back from where they have become constant.
 *
 * Source: Crowder (1987), Technometrics 29:401, by Nystrom's method.
 *
 * @throws {RangeError} for a weight outside 0 to 1 or a limit that is not above 0.
 */
export function ewmaRunLength(design: EwmaRunLengthDesign, shift = 0): number {
  const { weight, limitSigma, limits = "asymptotic", strayShare = 0 } = design;
  requireDesign({ limitSigma, weight });
  if (strayShare > 0 && limits === "exact") throw new RangeError("strays need asymptotic limits");
  if (weight > 1) throw new RangeError(`weight must be at most 1, got ${weight}`);
  const half = limitSigma * asymptoticSd(weight);
  const density = (from: number, to: number) =>
    normalPdf((to - (1 - weight) * from - weight * shift) / weight) / weight;

  const nodes = nodesFor((2 * half) / weight);
  let rule = gaussLegendre(nodes, -half, half);
  // A stray puts the mean between two nodes, or beyond the limits.
  const shareAt = (to: number, j: number) => (Math.abs(to) > half ? 0 : hat(rule.nodes, j, to));
  const step = (u: number, j: number) => {
    const usual = (1 - strayShare) * rule.weights[j]! * density(u, rule.nodes[j]!);
    if (strayShare === 0) return usual;
    const [kept, added] = [(1 - weight) * u, weight * limitSigma];
    return usual + (strayShare / 2) * (shareAt(kept + added, j) + shareAt(kept - added, j));
  };
  let lengths = solveRunLengths(rule.nodes, step);
  const lengthFrom = (u: number) => lengths.reduce((sum, length, j) => sum + step(u, j) * length, 1);
  if (limits === "asymptotic" || weight === 1) return lengthFrom(0);

  // The limits at step i are half x sqrt(1 - (1 - weight)^(2 i)); from `steps` on that is half to 1e-12.
  const steps = Math.ceil(Math.log(1e-12) / (2 * Math.log1p(-weight)));
  for (let i = steps; i >= 1; i--) {
    const limit = half * Math.sqrt(1 - (1 - weight) ** (2 * i));
    const narrower = gaussLegendre(nodes, -limit, limit);
    const carried = narrower.nodes.map(lengthFrom);
    [rule, lengths] = [narrower, carried];
  }
  return lengthFrom(0);
}

/** Weight of node j where a value at x is read off between the nodes on either side of it. */
function hat(nodes: Float64Array, j: number, x: number): number {
  const node = nodes[j]!;
  const neighbour = x < node ? nodes[j - 1] : nodes[j + 1];
  // Beyond the outermost node its value holds.
  if (neighbour === undefined) return 1;
  return Math.max(0, 1 - (x - node) / (neighbour - node));
}

export interface CusumRunLengthDesign {
  readonly allowance: number;
  readonly decisionInterval: number;
  readonly headStart?: number;
}

/**
 * One-sided cumulative sum.
 *
 * Source: Page's integral equation, the chance of falling back to 0 apart; Goel and Wu (1971), from memory.
 *
 * @throws {RangeError} for a negative allowance or an interval that is not above 0.
 */
export function oneSidedCusumRunLength(design: CusumRunLengthDesign, shift = 0): number {
  return cusumLengths(design, shift).fromHeadStart;
}

/**
 * Two-sided cumulative sum, both sums started at the head start.
 *
 * Source: Kemp (1971) and Yashchin (1985), from memory: exact where the two sums cannot be above 0 at once, which an
 * allowance of 0 or more and a head start up to half the interval ensure.
 */
export function cusumRunLength(design: CusumRunLengthDesign, shift = 0): number {
  const up = cusumLengths(design, shift);
  const down = cusumLengths(design, -shift);
  return (
    (up.fromHeadStart * down.fromZero + down.fromHeadStart * up.fromZero - up.fromZero * down.fromZero) /
    (up.fromZero + down.fromZero)
  );
}

function cusumLengths(
  { allowance, decisionInterval, headStart = 0 }: CusumRunLengthDesign,
  shift: number,
): { readonly fromZero: number; readonly fromHeadStart: number } {
  requireDesign({ decisionInterval });
  if (!(allowance >= 0)) throw new RangeError(`allowance must be 0 or more, got ${allowance}`);
  const { nodes, weights } = gaussLegendre(nodesFor(decisionInterval), 0, decisionInterval);
  // The state 0 stands first: a sum falls back to it with a probability of its own.
  const states = Float64Array.of(0, ...nodes);
  const step = (u: number, j: number) =>
    j === 0
      ? normalCdf(allowance - u - shift)
      : weights[j - 1]! * normalPdf(states[j]! + allowance - u - shift);
  const lengths = solveRunLengths(states, step);
  const lengthFrom = (u: number) => lengths.reduce((sum, length, j) => sum + step(u, j) * length, 1);
  return { fromZero: lengths[0]!, fromHeadStart: headStart === 0 ? lengths[0]! : lengthFrom(headStart) };
}

/** Solves L(u) = 1 + sum over j of step(u, j) L(state j) at the states. */
export function solveRunLengths(
  states: Float64Array,
  step: (from: number, to: number) => number,
): Float64Array {
  const matrix = Array.from(states, (u, i) => states.map((_, j) => (i === j ? 1 : 0) - step(u, j)));
  return solveInPlace(matrix, new Float64Array(states.length).fill(1));
}

/** @throws {RangeError} naming what is not above 0. */
export function requireDesign(design: { readonly [name: string]: number }): void {
  for (const [name, value] of Object.entries(design)) {
    if (!(value > 0)) throw new RangeError(`${name} must be above 0, got ${value}`);
  }
}
