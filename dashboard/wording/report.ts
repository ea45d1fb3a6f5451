import { date } from "./dates.ts";
import { counted } from "./numbers.ts";

/** What the evidence pack says beside its figures. */

export const NO_CLAIM =
  "This pack shows figures and records. It is no statement of conformity, no certificate and no claim that a clause is " +
  "met: that is for whoever assesses the laboratory. Clauses are named where a section may be of help with them; hold " +
  "the numbers against your own copy of the standard.";

/** Which clauses a section may be of help with. Numbers from memory. */
export const CLAUSES = {
  state:
    "ISO/IEC 17025:2017, 6.4.7 and 6.4.10 (calibration programme, intermediate checks) \u00b7 ISO 9001:2015, 7.1.5.2",
  signals:
    "ISO/IEC 17025:2017, 7.7.1 and 7.7.3 (monitoring the validity of results, analysing and acting on the data)",
  findings:
    "ISO/IEC 17025:2017, 6.4.9 and 7.10 (equipment found defective, nonconforming work) \u00b7 ISO 9001:2015, 7.1.5.2 " +
    "(validity of earlier results)",
  record: "ISO/IEC 17025:2017, 7.7.1 and 7.11.2 (validation of what manages the data)",
  lots: "ISO/IEC 17025:2017, 6.4.1 and 6.5 (reference materials, metrological traceability)",
  held: "ISO/IEC 17025:2017, 7.5 and 7.11 (technical records, control of data)",
  rules: "ISO/IEC 17025:2017, 7.1.3 and 7.8.6 (decision rule)",
  inputs: "ISO/IEC 17025:2017, 7.5.1 and 7.11.3 (enough to repeat the work, integrity of data)",
} as const;

export const HOW_TO_RECOMPUTE =
  "Take in the files below, whose SHA-256 digests are given, in any order, with the same profiles and the rules in force " +
  "as above, and ask for the report as of the same day with the same version: it gives the same figures. The CSV files " +
  "beside this page hold every figure of it.";

export const REGULATED_WORK =
  "If the records serve regulated work, audit trail, user identity and validation are the operator\u2019s responsibility.";

/** What was held back on the pack's day, and what has come since: rows count by when they came, not by their own date. */
export function heldText(held: number, later: number, asOfDay: number): string {
  const then = `${counted(held, "row was", "rows were")} held back at the end of ${date(asOfDay)}, word for word, and in no figure.`;
  return later === 0
    ? then
    : `${then} ${counted(later, "more row")} came in later and ${later === 1 ? "is" : "are"} held back now, in no figure either.`;
}
