import { Router } from "express";
import type { EventStreams } from "../event-streams.ts";

/** `/events`: how new what the pages show is, told whenever it changes (server-sent events). */
export function eventRoutes(events: EventStreams): Router {
  const router = Router();
  router.get("/events", (_request, response) => {
    response.writeHead(200, {
      "content-type": "text/event-stream",
      // Not compressed: what is said must not wait for more.
      "cache-control": "no-cache, no-transform",
    });
    response.flushHeaders();
    events.add(response);
  });
  return router;
}
