import { Router } from "express";
import type { Assessment } from "../assessment/views.ts";
import type { Metrics } from "../running/metrics.ts";

/**
 * `/health`: whether the server answers; looks at nothing else, so that it is quick and always true. `/ready`: whether
 * readers can be sent to it: the store answers and the fleet has been looked at. `/metrics`: what it does.
 */
export function healthRoutes(assessment: Assessment, metrics: Metrics): Router {
  const router = Router();
  router.get("/health", (_request, response) => {
    response.json({ status: "up" });
  });
  router.get("/ready", async (_request, response) => {
    const why = await notReady(assessment);
    response
      .status(why === null ? 200 : 503)
      .json(why === null ? { status: "ready" } : { status: "not ready", why });
  });
  router.get("/metrics", async (_request, response) => {
    response.type(metrics.type).send(await metrics.text());
  });
  return router;
}

async function notReady(assessment: Assessment): Promise<string | null> {
  try {
    const { shown } = await assessment.standing();
    return shown === null ? "the fleet is being looked at for the first time" : null;
  } catch {
    return "the store does not answer";
  }
}
