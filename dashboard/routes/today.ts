import { Router } from "express";
import { scopeKey } from "../access/person.ts";
import type { Assessment, FleetView } from "../assessment/views.ts";
import { liveSpecification } from "../charts/draw.ts";
import { fleetChart } from "../charts/fleet.ts";
import { type ChartPictures, picturesOf } from "../charts/pictures.ts";
import { Kept } from "../kept.ts";
import { oncePer } from "../once-per.ts";
import { courseFigures, courseRows } from "../page-models/course.ts";
import { recordSummary } from "../page-models/record.ts";
import { todayFigures, todayPage } from "../page-models/today.ts";
import { unitFigures, unitRow } from "../page-models/unit-row.ts";
import { courseSection } from "../pages/course.ts";
import { renderToday } from "../pages/today.ts";
import { answer } from "./answer.ts";
import { sizeAsked } from "./chart-size.ts";

/** `/`: the fleet today; `/charts/fleet`: the specification of its picture. */
export function todayRoutes(assessment: Assessment): Router {
  const pictures = new Kept<ChartPictures>(20);
  const pageOf = oncePer(todayPage);
  const router = Router();
  router.get("/", async (request, response) => {
    const fleet = await assessment.current();
    const page = pageOf(fleet);
    const course = await assessment.course();
    const rows = courseRows(course.months ?? [], fleet);
    const { record } = await assessment.record(false);
    await answer(request, response, {
      html: async () =>
        renderToday(
          page,
          await pictures.get(stateOf(fleet), () => picturesOf((size) => fleetChart(page.picture, size))),
          record === null ? null : recordSummary(record),
          courseSection(rows, course),
        ),
      json: () => ({ ...todayFigures(page), course: courseFigures(rows) }),
      csv: () => fleet.assessment.units.map((forecast) => unitFigures(unitRow(forecast, fleet))),
      fileName: `fleet-${page.asOf}`,
    });
  });
  router.get("/charts/fleet", async (request, response) => {
    const page = pageOf(await assessment.current());
    response.json(liveSpecification(fleetChart(page.picture, sizeAsked(request))));
  });
  return router;
}

function stateOf(fleet: FleetView): string {
  return `${scopeKey()} ${fleet.revision} ${fleet.asOf}`;
}
