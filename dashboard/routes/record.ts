import { Router } from "express";
import type { Assessment } from "../assessment/views.ts";
import { forecastFigures, recordFigures, recordPage } from "../page-models/record.ts";
import { renderRecord } from "../pages/record.ts";
import { answer } from "./answer.ts";

/** `/record`: how past forecasts came true. Asking for it has it worked out where it is not known; nobody waits. */
export function recordRoutes(assessment: Assessment): Router {
  const router = Router();
  router.get("/record", async (request, response) => {
    const view = await assessment.record(true);
    await answer(request, response, {
      html: () => renderRecord(recordPage(view)),
      json: () => recordFigures(view),
      csv: () => forecastFigures(view),
      fileName: `record-${view.asOf}`,
    });
  });
  return router;
}
