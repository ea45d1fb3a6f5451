import { Router } from "express";
import type { Assessment } from "../assessment/views.ts";
import { HttpError } from "../errors.ts";
import type { IntakeDesk } from "../intake/desk.ts";
import { takeInService } from "../intake/take-in-service.ts";
import { type ReturnForm, readReturnForm, returnExamined, serviceOf } from "../page-models/return-form.ts";
import { renderReturnForm } from "../pages/return-form.ts";
import { smallForm } from "./form-fields.ts";

/** `/returns/record`: one unit came back from service. */
export function recordReturnRoutes(assessment: Assessment, desk: IntakeDesk): Router {
  const router = Router();

  router.get("/returns/record", async (request, response) => {
    response.type("html").send(renderReturnForm(await formOf(request.query)));
  });

  router.post("/returns/record", smallForm, async (request, response) => {
    const sent = returnExamined(await formOf(request.body as Record<string, unknown>), desk.now());
    if (sent.fault !== null) {
      response.status(422).type("html").send(renderReturnForm(sent));
      return;
    }
    const { totals } = await takeInService(desk, serviceOf(sent), sent.by);
    if (totals.quarantined > 0) {
      throw new HttpError(
        409,
        "The return was held back.",
        "The page Intake says why, and lets it be mended.",
      );
    }
    response.redirect(303, `/units/${encodeURIComponent(sent.instrument)}`);
  });

  async function formOf(fields: Readonly<Record<string, unknown>> = {}): Promise<ReturnForm> {
    const { instruments } = await assessment.current();
    return readReturnForm(fields, new Set(instruments.keys()));
  }
  return router;
}
