import { normalPdf } from "../distributions/normal.ts";
import { gaussLegendre } from "../numeric/quadrature.ts";
import { asymptoticSd } from "./ewma.ts";
import { type EwmaRunLengthDesign, nodesFor, requireDesign } from "./run-length.ts";

/**
 * Expected number of values up to the first signal, for independent normal values of standard deviation 1 whose mean
 * is `perValue` at the first value, twice that at the second, and so on.
 */

/** A weighted mean expected this far beyond its limit is there but once in 1e15. Unit: its standard deviations. */
const CERTAIN = 8;

/**
 * Chart of exponentially weighted means with asymptotic limits, started at its centre.
 *
 * @remarks
 * Carried back from the value at which a signal is certain: L_i(u) = 1 + integral of L_{i+1}(v) over the limits, v
 * normal about (1 - weight) u + weight times the mean at value i + 1. The weighted mean follows the drift
 * (1 - weight) / weight values behind it.
 *
 * Source: Gan (1991), Journal of Statistical Computation and Simulation 38:181.
 *
 * @param perValue Above 0. Unit: sigma of a value.
 * @throws {RangeError} for a drift or limit not above 0, or a weight outside 0 to 1.
 */
export function ewmaDriftRunLength(
  { weight, limitSigma }: Pick<EwmaRunLengthDesign, "weight" | "limitSigma">,
  perValue: number,
): number {
  requireDesign({ limitSigma, weight, perValue });
  if (weight > 1) throw new RangeError(`weight must be at most 1, got ${weight}`);
  const half = limitSigma * asymptoticSd(weight);
  const values = Math.ceil((half + CERTAIN * asymptoticSd(weight)) / perValue + 1 / weight);
  const { nodes, weights } = gaussLegendre(nodesFor((2 * half) / weight), -half, half);
  let after = new Float64Array(nodes.length).fill(1);
  const lengthFrom = (u: number, mean: number) => {
    let length = 1;
    for (let j = 0; j < nodes.length; j++) {
      const deviation = (nodes[j]! - (1 - weight) * u) / weight - mean;
      length += ((weights[j]! * normalPdf(deviation)) / weight) * after[j]!;
    }
    return length;
  };
  for (let i = values; i > 1; i--) after = nodes.map((u) => lengthFrom(u, i * perValue));
  return lengthFrom(0, perValue);
}
