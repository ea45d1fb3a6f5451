import type { Request } from "express";
import type { Assessment, UnitView } from "../assessment/views.ts";
import { HttpError } from "../errors.ts";

/** The unit that an address names. @throws {HttpError} 404 where there is none. */
export async function unitAsked(assessment: Assessment, request: Request): Promise<UnitView> {
  const instrument = String(request.params.instrument);
  const view = await assessment.unit(instrument);
  if (view !== null) return view;
  throw new HttpError(
    404,
    `No unit is called \u201c${instrument}\u201d.`,
    "The finder at the top of the page knows every unit.",
  );
}
