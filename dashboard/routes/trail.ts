import { Router } from "express";
import type { Trail } from "../../ingest/index.ts";
import { entryReport, entryRow, trailPage, trailQuestion } from "../page-models/trail.ts";
import { renderTrail } from "../pages/trail.ts";
import { answer } from "./answer.ts";

/** `/trail`: every change of the store, the newest first. */
export function trailRoutes(trail: Trail): Router {
  const router = Router();
  router.get("/trail", async (request, response) => {
    response.set("Cache-Control", "no-store");
    const page = await trailPage(trail, trailQuestion(request.query));
    await answer(request, response, {
      html: () => renderTrail(page),
      json: () => ({
        entries: page.entries.map(entryReport),
        total: page.total,
        page: page.asked.page,
        pages: page.pages,
      }),
      csv: () => page.entries.map(entryRow),
      fileName: "trail",
    });
  });
  return router;
}
