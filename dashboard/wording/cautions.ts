/** What the figures are not: said at the foot of every page, and again where something is to be decided. */

export const FORECASTS_ARE_NOT_CONFORMITY =
  "A forecast is a probability under stated assumptions. A low one is no statement of conformity and does not " +
  "extend a calibration due date. It does not replace calibration by a competent laboratory, the maker\u2019s " +
  "instructions or your procedures, which prevail.";

export const OUT_OF_USE =
  "A unit that failed a check is taken out of use by your procedure, whatever the forecast says. What to do about " +
  "earlier results and released products is for qualified persons to decide.";

export const FLUIDS_WITH_CARE =
  "Fluids: follow the certificate and the safety data sheet, and clean before you change them. Spilt silicone " +
  "fluid is slippery.";
