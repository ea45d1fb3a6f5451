import { Router } from "express";
import { scopeKey } from "../access/person.ts";
import type { Assessment } from "../assessment/views.ts";
import { drawChart, liveSpecification } from "../charts/draw.ts";
import { LINEARITY_WIDTH, linearityChart } from "../charts/linearity.ts";
import type { ChartPicture } from "../charts/pictures.ts";
import { HttpError } from "../errors.ts";
import { Kept } from "../kept.ts";
import { checksPage } from "../page-models/checks.ts";
import { quantityFigures, quantityPage } from "../page-models/quantity.ts";
import {
  readingFigures,
  type UnitPage,
  unitPage,
  unitPageFigures,
  watchFigures,
} from "../page-models/unit.ts";
import { renderChecks } from "../pages/checks.ts";
import { renderPart } from "../pages/layout.ts";
import { livesPicture } from "../pages/lives-picture.ts";
import { renderQuantity } from "../pages/quantity.ts";
import { renderUnit } from "../pages/unit.ts";
import { answer } from "./answer.ts";
import { unitAsked } from "./unit-asked.ts";

/** `/units/…`: one unit, its checks, and its charts brought to life. */
export function unitRoutes(assessment: Assessment): Router {
  const drawn = new Kept<ChartPicture>(100);
  const router = Router();

  router.get("/units/:instrument", async (request, response) => {
    const view = await unitAsked(assessment, request);
    const page = unitPage(view);
    const key = `${scopeKey()} ${view.revision} ${view.asOf} ${page.instrument}`;
    await answer(request, response, {
      html: async () => renderUnit(page, await drawn.get(key, () => linearityPicture(page))),
      json: () => unitPageFigures(page),
      csv: () => readingFigures(page.readings),
      fileName: `unit-${page.instrument}-${page.asOf}`,
    });
  });

  router.get("/units/:instrument/checks", async (request, response) => {
    const number = Number(request.query.page ?? "1");
    if (!Number.isSafeInteger(number) || number < 1) {
      throw new HttpError(400, "There is no such page.", "Pages are numbered from 1.");
    }
    const page = checksPage(await unitAsked(assessment, request), number);
    await answer(request, response, {
      html: () => renderChecks(page),
      json: () => ({
        as_of: page.asOf,
        instrument: page.instrument,
        readings: readingFigures(page.readings),
      }),
      csv: () => readingFigures(page.readings),
      fileName: `checks-${page.instrument}-${page.asOf}`,
    });
  });

  router.get("/units/:instrument/watch/:quantity", async (request, response) => {
    const view = await unitAsked(assessment, request);
    const page = quantityPage(view, String(request.params.quantity));
    await answer(request, response, {
      html: () => renderQuantity(page),
      json: () => ({ as_of: page.asOf, instrument: page.instrument, ...watchFigures(page.chart) }),
      csv: () => quantityFigures(page),
      fileName: `${page.row.quantity}-${page.instrument}-${page.asOf}`,
    });
  });

  router.get("/units/:instrument/charts/:chart", async (request, response) => {
    const page = unitPage(await unitAsked(assessment, request));
    switch (request.params.chart) {
      case "lives":
        response.type("html").send(renderPart(livesPicture(page.lives, true)));
        return;
      case "linearity":
        response.json(liveSpecification(linearityChart(page.linearity)));
        return;
      default:
        throw new HttpError(404, "There is no such chart.", "Its unit\u2019s page shows which there are.");
    }
  });

  return router;
}

async function linearityPicture({ linearity }: UnitPage): Promise<ChartPicture> {
  return { size: "only", width: LINEARITY_WIDTH, svg: await drawChart(linearityChart(linearity)) };
}
