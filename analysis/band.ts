export const BAND_NAMES = ["low", "medium", "high"] as const;
export type BandName = (typeof BAND_NAMES)[number];

/** The expected torques at which a unit is judged, one a band. Unit: % of full scale. */
export const JUDGING_TORQUES: Readonly<Record<BandName, number>> = { low: 20, medium: 50, high: 85 };

/** Lower ends of the bands; a band holds its lower end, the high band its upper end too. Unit: % of full scale. */
export const BAND_EDGES = { low: 10, medium: 30, high: 70, top: 100 } as const;

/**
 * The band of an expected torque: low from 10 %, medium from 30 %, high from 70 to 100 %.
 *
 * @param torquePercent Expected torque. Unit: % of full scale.
 * @returns null below 10 % (too weak to judge), above 100 % (cannot exist) and for NaN.
 * @example
 * bandOf(50); // "medium"
 */
export function bandOf(torquePercent: number): BandName | null {
  if (!(torquePercent >= BAND_EDGES.low && torquePercent <= BAND_EDGES.top)) return null;
  if (torquePercent < BAND_EDGES.medium) return "low";
  return torquePercent < BAND_EDGES.high ? "medium" : "high";
}
