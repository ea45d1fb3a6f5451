import { type Request, Router } from "express";
import { scopeKey } from "../access/person.ts";
import type { Assessment } from "../assessment/views.ts";
import { liveSpecification } from "../charts/draw.ts";
import { lotChart } from "../charts/lot.ts";
import { type ChartPictures, picturesOf } from "../charts/pictures.ts";
import { HttpError } from "../errors.ts";
import { Kept } from "../kept.ts";
import { fluidsFigures, fluidsPage, lotFigures } from "../page-models/fluids.ts";
import { type LotPage, lotPage, lotPageFigures, lotUnitFigures } from "../page-models/lot.ts";
import { renderFluids } from "../pages/fluids.ts";
import { renderLot } from "../pages/lot.ts";
import { answer } from "./answer.ts";
import { sizeAsked } from "./chart-size.ts";
import { inTime } from "./in-time.ts";

/** `/fluids`: lots and baths; `/fluids/…`: one lot, and the specification of its chart. */
export function fluidsRoutes(assessment: Assessment): Router {
  const drawn = new Kept<ChartPictures>(40);
  const router = Router();

  router.get("/fluids", async (request, response) => {
    const view = await inTime(request, response, assessment.fluids(), "fluids");
    if (view === null) return;
    const page = fluidsPage(view);
    await answer(request, response, {
      html: () => renderFluids(page),
      json: () => fluidsFigures(view, page),
      csv: () => page.lots.map(lotFigures),
      fileName: `fluids-${page.asOf}`,
    });
  });

  router.get("/fluids/:lot", async (request, response) => {
    const asked = await inTime(request, response, lotAsked(assessment, request), "fluids");
    if (asked === null) return;
    const { page, revision } = asked;
    const key = `${scopeKey()} ${revision} ${page.asOf} ${page.lot.fluidLot}`;
    await answer(request, response, {
      html: async () =>
        renderLot(page, await drawn.get(key, () => picturesOf((size) => lotChart(page.picture, size)))),
      json: () => lotPageFigures(page),
      csv: () => page.units.map(lotUnitFigures),
      fileName: `lot-${page.lot.fluidLot}-${page.asOf}`,
    });
  });

  router.get("/fluids/:lot/chart", async (request, response) => {
    const { page } = await lotAsked(assessment, request);
    response.json(liveSpecification(lotChart(page.picture, sizeAsked(request))));
  });

  return router;
}

async function lotAsked(
  assessment: Assessment,
  request: Request,
): Promise<{ page: LotPage; revision: number }> {
  const part = Number(request.query.page ?? "1");
  if (!Number.isSafeInteger(part) || part < 1) {
    throw new HttpError(400, "There is no such page.", "Pages are numbered from 1.");
  }
  const view = await assessment.fluids();
  return { page: lotPage(view, String(request.params.lot), part), revision: view.revision };
}
