import { type Request, Router, urlencoded } from "express";
import type { Assessment } from "../assessment/views.ts";
import type { IntakeDesk } from "../intake/desk.ts";
import { decisionsOf, type KeepForm, keepExamined, readKeepForm } from "../page-models/keep-form.ts";
import { questionsOf, readReturnsQuery } from "../page-models/returns-query.ts";
import { renderKeepForm } from "../pages/keep-form.ts";

/** `/returns/keep`: weeks kept for units, and units left to the plan again. */
export function keepBookingsRoutes(
  assessment: Assessment,
  { store, now }: Pick<IntakeDesk, "store" | "now">,
): Router {
  const router = Router();
  const form = urlencoded({ extended: false, limit: "64kb", parameterLimit: 500 });

  router.get("/returns/keep", async (request, response) => {
    response.type("html").send(renderKeepForm(await formOf(request.query)));
  });

  router.post("/returns/keep", form, async (request: Request, response) => {
    const sent = keepExamined(await formOf(request.body as Record<string, unknown>));
    if (sent.trouble !== null) {
      response.status(422).type("html").send(renderKeepForm(sent));
      return;
    }
    await store.bookings.add(decisionsOf(sent, now()));
    response.redirect(303, "/returns");
  });

  async function formOf(fields: Readonly<Record<string, unknown>> = {}): Promise<KeepForm> {
    const query = readReturnsQuery(fields);
    const { plans } = await assessment.returns(questionsOf({ ...query, against: [] }).slice(0, 1));
    return readKeepForm(fields, query, plans[0]!);
  }
  return router;
}
