import { randomUUID } from "node:crypto";
import type { RequestHandler } from "express";
import { doorOf } from "../access/doors.ts";
import type { ServerLog } from "./log.ts";
import type { Metrics } from "./metrics.ts";

/** Gives every request a number, and counts and logs its answer by the door that it came to. */
export function watchRequests(metrics: Metrics, log: ServerLog): RequestHandler {
  return (request, response, next) => {
    const begunAt = performance.now();
    const id = randomUUID();
    response.set("X-Request-Id", id);
    const { method } = request;
    const door = doorOf(method, request.path);
    response.on("close", () => {
      const seconds = (performance.now() - begunAt) / 1000;
      const status = response.writableFinished ? response.statusCode : 499;
      metrics.count(method, door, status, seconds);
      log?.info({ id, method, door, status, ms: Math.round(seconds * 1000) }, "answered");
    });
    next();
  };
}
