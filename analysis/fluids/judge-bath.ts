import type { BathAssessment, LotVerdict } from "../assessment.ts";
import { normalCdf } from "../distributions/normal.ts";

/** Probabilities to be further off than allowed from which a bath is called so; those of the lots. */
const UNSOUND = 0.8;
const DOUBTFUL = 0.25;

/**
 * Whether a bath is further off than the fluid's temperature may be.
 *
 * @param allowedKelvin What the check allows, either way.
 * @returns `unjudged` where its error is not known to within that.
 */
export function judgeBath(
  { kelvin, kelvinSd }: Pick<BathAssessment, "kelvin" | "kelvinSd">,
  allowedKelvin: number,
): LotVerdict {
  const beyond =
    normalCdf((kelvin - allowedKelvin) / kelvinSd) + normalCdf((-allowedKelvin - kelvin) / kelvinSd);
  if (beyond >= UNSOUND) return "unsound";
  if (kelvinSd > allowedKelvin) return "unjudged";
  return beyond >= DOUBTFUL ? "doubtful" : "sound";
}
