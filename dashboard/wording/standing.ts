import { LOOK_STAGES, type LookStage } from "../assessment/views.ts";

/** How new what the pages show is, in words. */

const STAGE_LABEL: Readonly<Record<LookStage, string>> = {
  reading: "reading the checks",
  learning: "learning what units share",
  judging: "judging each unit",
};

/** "step 2 of 3, learning what units share". */
export function stageText(stage: LookStage): string {
  return `step ${LOOK_STAGES.indexOf(stage) + 1} of ${LOOK_STAGES.length}, ${STAGE_LABEL[stage]}`;
}

/** What is said below a page while newer checks are looked at. */
export function lookingText(stage: LookStage): string {
  return `Newer checks are being looked at: ${stageText(stage)}.`;
}

export const LOOK_FAILED =
  "The newest checks could not be looked at, and the server\u2019s log says why. What stands here is from before.";

export const WAITING = {
  fleet: "Springtide is looking at every unit for the first time since it was started.",
  fluids: "What the units say of every fluid lot is being gathered.",
  returns: "The return plan is being made.",
  review: "What the charts have raised, and who stands out, is being worked out.",
  service: "What services and checks found, and what intervals follow, is being worked out.",
} as const;

export type WaitedFor = keyof typeof WAITING;

export const WAITING_WAY_OUT = "This page comes by itself as soon as that is done, or look again.";
