import { type Request, Router } from "express";
import { bookingsReport } from "../assessment/bookings-report.ts";
import type { Assessment } from "../assessment/views.ts";
import { liveSpecification } from "../charts/draw.ts";
import { type ChartPictures, picturesOf } from "../charts/pictures.ts";
import { returnsChart } from "../charts/returns.ts";
import { type ReturnsPage, returnFigures, returnsPage } from "../page-models/returns.ts";
import { questionsOf, readReturnsQuery, returnsAddress } from "../page-models/returns-query.ts";
import { renderReturns } from "../pages/returns.ts";
import { answer } from "./answer.ts";
import { sizeAsked } from "./chart-size.ts";
import { Kept } from "./kept.ts";

/** `/returns`: the return plan; `/charts/returns`: the specification of its picture. */
export function returnsRoutes(assessment: Assessment): Router {
  const pictures = new Kept<ChartPictures>(20);
  const router = Router();
  router.get("/returns", async (request, response) => {
    const { page, key } = await pageAsked(assessment, request);
    await answer(request, response, {
      html: async () =>
        renderReturns(
          page,
          await pictures.get(key, () => picturesOf((size) => returnsChart(page.picture, size))),
        ),
      json: () => bookingsReport(page.plan, page.rules.capacity),
      csv: () => [...page.rows, ...page.withoutRoom].map(returnFigures),
      fileName: `returns-${page.asOf}`,
    });
  });
  router.get("/charts/returns", async (request, response) => {
    const { page } = await pageAsked(assessment, request);
    response.json(liveSpecification(returnsChart(page.picture, sizeAsked(request))));
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
    key: `${fleet.revision} ${fleet.asOf} ${returnsAddress({ ...query, unit: null, all: false, against: [] })}`,
  };
}
