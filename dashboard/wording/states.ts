import type { BandName, PatternName, UnitState } from "../../analysis/index.ts";

/** What the states and patterns are called, everywhere a reader meets them. */

export const STATE_LABEL: Readonly<Record<UnitState, string>> = {
  out: "out now",
  "heading-out": "heading out",
  leaning: "leaning",
  steady: "steady",
  unjudged: "not judged",
};

/** One line each, for the key below a picture and for those who listen to the page. */
export const STATE_MEANING: Readonly<Record<UnitState, string>> = {
  out: "out of tolerance today",
  "heading-out": "likely to leave tolerance before its service",
  leaning: "may leave tolerance before its service",
  steady: "unlikely to leave tolerance before its service",
  unjudged: "too little is known to say",
};

export const BAND_LABEL: Readonly<Record<BandName, string>> = {
  low: "low torque",
  medium: "medium torque",
  high: "high torque",
};

/** What a pattern looks like in the error along the torque; null where there is none to speak of. */
export const PATTERN_LABEL: Readonly<Record<PatternName, string | null>> = {
  none: null,
  span: "stretches with torque",
  zero: "zero has moved",
  friction: "drags",
  curvature: "bends mid-range",
  step: "moved at once",
  scatter: "scatters",
};
