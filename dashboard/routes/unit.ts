import { type Request, Router } from "express";
import { scopeKey } from "../access/person.ts";
import type { Assessment } from "../assessment/views.ts";
import type { Chart } from "../charts/chart.ts";
import { drawChart, liveSpecification } from "../charts/draw.ts";
import { LINEARITY_WIDTH, linearityChart } from "../charts/linearity.ts";
import { livesChart } from "../charts/lives.ts";
import { type ChartPicture, picturesOf } from "../charts/pictures.ts";
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
import { renderQuantity } from "../pages/quantity.ts";
import { renderUnit, type UnitPictures } from "../pages/unit.ts";
import { answer } from "./answer.ts";
import { sizeAsked } from "./chart-size.ts";
import { unitAsked } from "./unit-asked.ts";

/** `/units/…`: one unit, its checks, and the specifications of its charts. */
export function unitRoutes(assessment: Assessment): Router {
  const drawn = new Kept<UnitPictures>(100);
  const router = Router();

  router.get("/units/:instrument", async (request, response) => {
    const view = await unitAsked(assessment, request);
    const page = unitPage(view);
    const key = `${scopeKey()} ${view.revision} ${view.asOf} ${page.instrument}`;
    await answer(request, response, {
      html: async () => renderUnit(page, await drawn.get(key, () => picturesFor(page))),
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
    const spec = chartAsked(page, request);
    if (spec === null)
      throw new HttpError(404, "There is no such chart.", "Its unit\u2019s page shows which there are.");
    response.json(liveSpecification(spec));
  });

  return router;
}

async function picturesFor(page: UnitPage): Promise<UnitPictures> {
  const only = async (spec: Chart, width: number): Promise<ChartPicture> => ({
    size: "only",
    width,
    svg: await drawChart(spec),
  });
  return {
    lives: await picturesOf((size) => livesChart(page.lives, size)),
    linearity: await only(linearityChart(page.linearity), LINEARITY_WIDTH),
  };
}

function chartAsked(page: UnitPage, request: Request): Chart | null {
  const name = request.params.chart;
  if (name === "lives") return livesChart(page.lives, sizeAsked(request));
  if (name === "linearity") return linearityChart(page.linearity);
  return null;
}
