import { Router } from "express";
import type { Assessment, UnitView } from "../assessment/views.ts";
import { HttpError } from "../errors.ts";
import {
  choiceText,
  readChoices,
  sideBySide,
  sideBySideAddress,
  sideFigures,
} from "../page-models/side-by-side.ts";
import { renderSideBySide } from "../pages/side-by-side.ts";
import { answer } from "./answer.ts";

/** `/side-by-side`: up to four lines of error along the torque; the address says which. */
export function sideBySideRoutes(assessment: Assessment): Router {
  const router = Router();
  router.get("/side-by-side", async (request, response) => {
    const choices = readChoices(request.query);
    if (typeof request.query.unit === "string") {
      // What was added by the form becomes part of the address.
      response.redirect(303, sideBySideAddress(choices));
      return;
    }
    const views: UnitView[] = [];
    for (const { instrument } of choices) {
      const view = await assessment.unit(instrument);
      if (view === null)
        throw new HttpError(404, `There is no unit ${instrument}.`, "The page Units lists them.");
      views.push(view);
    }
    const { asOf } = await assessment.current();
    const page = sideBySide(asOf, choices, views);
    await answer(request, response, {
      html: () => renderSideBySide(page),
      json: () => ({ as_of: asOf, sides: page.sides.map(sideFigures) }),
      csv: () => page.sides.map(sideFigures),
      fileName: `side-by-side-${
        choices
          .map(choiceText)
          .join("-")
          .replace(/[^\w.-]+/g, "_") || "none"
      }`,
    });
  });
  return router;
}
