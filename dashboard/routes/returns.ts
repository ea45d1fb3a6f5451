import { type Request, Router } from "express";
import { scopeKey } from "../access/person.ts";
import { bookingsReport } from "../assessment/bookings-report.ts";
import { DAY_MS } from "../assessment/days.ts";
import type { Assessment } from "../assessment/views.ts";
import { liveSpecification } from "../charts/draw.ts";
import { type ChartPictures, picturesOf } from "../charts/pictures.ts";
import { returnsChart } from "../charts/returns.ts";
import { Kept } from "../kept.ts";
import { packingPage } from "../page-models/packing.ts";
import { type ReturnsPage, returnFigures, returnsPage } from "../page-models/returns.ts";
import { questionsOf, readReturnsQuery, returnsAddress } from "../page-models/returns-query.ts";
import { renderPacking } from "../pages/packing.ts";
import { renderReturns } from "../pages/returns.ts";
import { bookingCalendar } from "../tables/booking-calendar.ts";
import { answer } from "./answer.ts";
import { sizeAsked } from "./chart-size.ts";
import { inTime } from "./in-time.ts";

/** `/returns`: the return plan; `/charts/returns`: the specification of its picture. */
export function returnsRoutes(assessment: Assessment): Router {
  const pictures = new Kept<ChartPictures>(20);
  const router = Router();
  router.get("/returns", async (request, response) => {
    const asked = await inTime(request, response, pageAsked(assessment, request), "returns");
    if (asked === null) return;
    const { page, key } = asked;
    await answer(request, response, {
      html: async () =>
        renderReturns(
          page,
          await pictures.get(key, () => picturesOf((size) => returnsChart(page.picture, page.query, size))),
        ),
      json: () => bookingsReport(page.plan, page.rules.capacity),
      csv: () => [...page.rows, ...page.withoutRoom].map(returnFigures),
      fileName: `returns-${page.asOf}`,
    });
  });
  router.get("/returns/calendar.ics", async (request, response) => {
    const query = readReturnsQuery(request.query);
    const { input, plans } = await assessment.returns(questionsOf({ ...query, against: [] }).slice(0, 1));
    const calendar = bookingCalendar(plans[0]!, input.asOfDay * DAY_MS);
    response.type("text/calendar").send(calendar);
  });
  router.get("/returns/packing", async (request, response) => {
    const query = readReturnsQuery(request.query);
    const view = await assessment.returns(questionsOf({ ...query, against: [] }).slice(0, 1));
    const { week } = request.query;
    response
      .type("html")
      .send(renderPacking(packingPage(view, query, typeof week === "string" ? week : null)));
  });
  router.get("/charts/returns", async (request, response) => {
    const { page } = await pageAsked(assessment, request);
    response.json(liveSpecification(returnsChart(page.picture, page.query, sizeAsked(request))));
  });
  return router;
}

async function pageAsked(
  assessment: Assessment,
  request: Request,
): Promise<{ page: ReturnsPage; key: string }> {
  const query = readReturnsQuery(request.query);
  const fleet = await assessment.current();
  const view = await assessment.returns(questionsOf(query));
  return {
    page: returnsPage(fleet, view, query),
    key: `${scopeKey()} ${fleet.revision} ${fleet.asOf} ${returnsAddress({ ...query, unit: null, all: false, week: null, page: 1, against: [] })}`,
  };
}
