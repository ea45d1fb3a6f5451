import { Router } from "express";
import type { Assessment } from "../assessment/views.ts";
import { reviewFigures, reviewPage } from "../page-models/review.ts";
import { renderReview } from "../pages/review.ts";
import { answer } from "./answer.ts";
import { inTime } from "./in-time.ts";

/** `/worth-a-look`: the weekly review list, of one site or of all. */
export function reviewRoutes(assessment: Assessment): Router {
  const router = Router();
  router.get("/worth-a-look", async (request, response) => {
    const { site } = request.query;
    const review = await inTime(request, response, assessment.review(), "review");
    if (review === null) return;
    const fleet = await assessment.current();
    const page = reviewPage(fleet, review, typeof site === "string" ? site : null);
    await answer(request, response, {
      html: () => renderReview(page),
      json: () => ({ as_of: page.asOf, site: page.site, units: reviewFigures(page) }),
      csv: () => reviewFigures(page),
      fileName: `worth-a-look-${page.asOf}`,
    });
  });
  return router;
}
