import { Router } from "express";
import type { Assessment } from "../assessment/views.ts";
import { readFleetQuery } from "../page-models/fleet-query.ts";
import { unitFigures } from "../page-models/unit-row.ts";
import { unitsPage } from "../page-models/units.ts";
import { renderUnits } from "../pages/units.ts";
import { answer } from "./answer.ts";

/** `/units`: every unit, filtered, sorted and paged by its address. */
export function unitsRoutes(assessment: Assessment): Router {
  const router = Router();
  router.get("/units", async (request, response) => {
    const page = unitsPage(await assessment.current(), readFleetQuery(request.query));
    await answer(request, response, {
      html: () => renderUnits(page),
      // Figures are for programs: all pages of the table at once.
      json: () => ({ as_of: page.asOf, query: page.query, units: page.selected.map(unitFigures) }),
      csv: () => page.selected.map(unitFigures),
      fileName: `units-${page.asOf}`,
    });
  });
  return router;
}
