import type { RequestHandler } from "express";
import type { Assessment } from "../assessment/views.ts";
import { stageText } from "../wording/standing.ts";
import { inTime } from "./in-time.ts";

/** Before every page of the fleet: who comes during the first look at it is told how far that is. */
export function firstLook(assessment: Assessment): RequestHandler {
  return async (request, response, next) => {
    const detail = async (): Promise<string | null> => {
      const { looking } = await assessment.standing();
      return looking === null ? null : stageText(looking);
    };
    // A failure is told by the page that was asked for.
    const look = assessment.current().catch(() => "failed");
    if ((await inTime(request, response, look, "fleet", detail)) !== null) next();
  };
}
