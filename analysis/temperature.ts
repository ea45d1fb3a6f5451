import { NonFiniteValueError } from "./errors.ts";

/** Beyond this departure from the certificate's temperature nothing is corrected. Unit: K. */
export const CORRECTION_LIMIT_K = 0.5;

/**
 * The fluid's value at the temperature it had, from the certified value and the lot's own coefficient.
 *
 * @remarks
 * Only for a measured temperature of the fluid; a bath's set point is not a measurement. Log-linear, which over
 * half a kelvin differs from the exponential law of Andrade by less than one part in 10,000 (8 %/K at 25 °C).
 *
 * Source: Andrade's law, eta = A exp(E / (R T)), expanded about the certificate's temperature.
 *
 * @param certifiedMPaS At the certificate's temperature. Unit: mPa·s.
 * @param temperatureOffsetK Fluid's temperature minus the certificate's. Unit: K.
 * @param coefficientPercentPerK Relative change of viscosity, negative for liquids; null: not certified. Unit: %/K.
 * @returns Unit: mPa·s; null where no correction may be made: beyond ±0.5 K, or without a coefficient.
 * @throws {NonFiniteValueError} for NaN or infinity.
 * @example
 * fluidValueAt(500, 0.2, -2); // 498.004
 */
export function fluidValueAt(
  certifiedMPaS: number,
  temperatureOffsetK: number,
  coefficientPercentPerK: number | null,
): number | null {
  for (const [index, value] of [certifiedMPaS, temperatureOffsetK, coefficientPercentPerK ?? 0].entries()) {
    if (!Number.isFinite(value)) throw new NonFiniteValueError("fluidValueAt", index, value);
  }
  if (coefficientPercentPerK === null || Math.abs(temperatureOffsetK) > CORRECTION_LIMIT_K) return null;
  return certifiedMPaS * Math.exp((coefficientPercentPerK / 100) * temperatureOffsetK);
}

/**
 * Standard uncertainty that temperature adds to the fluid's value, after correction.
 *
 * @param temperatureOffsetK Unit: K.
 * @param coefficientPercentPerK Unit: %/K.
 * @param uTemperatureK Standard uncertainty of the fluid's temperature. Unit: K.
 * @param uCoefficientPercentPerK Standard uncertainty of the coefficient. Unit: %/K.
 * @returns Unit: % of the fluid's value.
 */
export function temperatureUncertaintyPercent(
  temperatureOffsetK: number,
  coefficientPercentPerK: number,
  uTemperatureK: number,
  uCoefficientPercentPerK: number,
): number {
  return Math.hypot(coefficientPercentPerK * uTemperatureK, temperatureOffsetK * uCoefficientPercentPerK);
}
