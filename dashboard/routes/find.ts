import { Router } from "express";
import type { Assessment } from "../assessment/views.ts";
import { findFigures, findPage } from "../page-models/find.ts";
import { renderFind } from "../pages/find.ts";
import { answer } from "./answer.ts";

/** `/find?q=`: units, sites and lots by a part of their name; a unit named in full is opened at once. */
export function findRoutes(assessment: Assessment): Router {
  const router = Router();
  router.get("/find", async (request, response) => {
    const sought = typeof request.query.q === "string" ? request.query.q.trim() : "";
    const page = findPage(await assessment.current(), sought);
    if (page.exact !== null && request.query.format === undefined) {
      response.redirect(303, page.exact.href);
      return;
    }
    await answer(request, response, {
      html: () => renderFind(page),
      json: () => findFigures(page),
      csv: () => findFigures(page).found,
      fileName: "found",
    });
  });
  return router;
}
