import type { NextStep } from "../page-models/next-step.ts";

/** The next step in a table row: short, an order that a technician can follow. */
export const NEXT_STEP: Readonly<Record<NextStep, string>> = {
  "swap-accessory": "Check with another cup and bob: does the error follow?",
  "zero-in-air": "Level it, zero it in air, repeat the check",
  "approach-both-ways": "Repeat low torque from above and from below",
  "second-fluid": "Repeat with a second fluid at other speeds",
  "look-into-step": "Find out what happened when it moved, then repeat",
  "record-scatter": "Record one minute at constant speed",
  "first-check": "Check it: not checked since its service",
  "check-again": "Check it again within the week",
  "overdue-service": "Send it to service: its date is past",
  "make-overdue-check": "Make the check that is overdue",
  "usual-checks": "Go on with the usual checks",
};
