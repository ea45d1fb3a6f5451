import { Router } from "express";
import { intervalsReport, unitIntervalFigures } from "../assessment/intervals-report.ts";
import type { ServiceAnswers } from "../assessment/service-desk.ts";
import { intervalsPage, readIntervalsQuery } from "../page-models/intervals.ts";
import { renderIntervals } from "../pages/intervals.ts";
import { answer } from "./answer.ts";
import { inTime } from "./in-time.ts";

/** `/intervals`: what interval each unit and each group has earned, and how often to check. */
export function intervalsRoutes(desk: ServiceAnswers): Router {
  const router = Router();
  router.get("/intervals", async (request, response) => {
    const query = readIntervalsQuery(request.query);
    const facts = await inTime(request, response, desk.facts(), "service");
    if (facts === null) return;
    const page = intervalsPage(facts, query);
    const chosen = { ...facts.intervals, units: page.selected };
    await answer(request, response, {
      html: () => renderIntervals(page),
      json: () => intervalsReport(facts.asOf, chosen, facts.settings),
      csv: () => page.selected.map(unitIntervalFigures),
      fileName: `intervals-${facts.asOf}`,
    });
  });
  return router;
}
