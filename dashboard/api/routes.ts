import { createHash } from "node:crypto";
import { json, type Request, type Response, Router } from "express";
import { rateLimit } from "express-rate-limit";
import type { z } from "zod";
import { whoAsks } from "../access/person.ts";
import { HttpError } from "../errors.ts";
import { renderApi } from "../pages/api.ts";
import type { ApiParts, Endpoint, Given } from "./endpoint.ts";
import { ENDPOINTS } from "./endpoints.ts";
import { openApi } from "./openapi.ts";

/** For each person, or each address where nobody signs in: so many requests a minute. */
const A_MINUTE = 600;

/** `/api`: the list of endpoints to read; `/api/openapi.json`; and each of them. */
export function apiRoutes(parts: ApiParts): Router {
  const router = Router();
  router.use(
    "/api",
    rateLimit({
      windowMs: 60_000,
      limit: A_MINUTE,
      standardHeaders: "draft-8",
      legacyHeaders: false,
      keyGenerator: (request) => whoAsks().name ?? request.socket.remoteAddress ?? "",
      handler: () => {
        throw new HttpError(
          429,
          "Too many requests in a minute.",
          "Wait as long as Retry-After says, in seconds.",
        );
      },
    }),
  );
  const document = openApi(ENDPOINTS);
  router.get("/api", (_request, response) => response.type("html").send(renderApi(ENDPOINTS)));
  router.get("/api/openapi.json", (_request, response) => response.json(document));
  const body = json({ limit: "1mb", strict: true });
  for (const one of ENDPOINTS) {
    const answer = async (request: Request, response: Response) => give(one, parts, request, response);
    if (one.method === "GET") router.get(`/api${one.path}`, answer);
    else router.post(`/api${one.path}`, body, answer);
  }
  return router;
}

async function give(one: Endpoint, parts: ApiParts, request: Request, response: Response): Promise<void> {
  const parameters = checked(one.parameters, { ...request.query, ...request.params });
  if (one.body !== null && request.is("application/json") === false) {
    throw new HttpError(415, "The body is no JSON.", "Send it with Content-Type: application/json.");
  }
  const seen = request.headers["if-match"] ?? null;
  if (one.ifMatch && seen === null) {
    throw new HttpError(
      428,
      "If-Match is missing.",
      "Ask first, and send the ETag of what you have seen as If-Match.",
    );
  }
  const sent = one.body === null ? undefined : checked(one.body, request.body ?? {});
  const given = await one.give(parts, { parameters, body: sent, seen });
  const text = JSON.stringify(given.document);
  response.set(
    "ETag",
    given.tag ?? `"${createHash("sha256").update(text).digest("base64url").slice(0, 27)}"`,
  );
  response.set("Cache-Control", "private, no-cache");
  if (given.part !== undefined) setLinks(request, response, given.part);
  // Express answers 304 where the reader has it already.
  response.type("json").send(text);
}

/** @throws {HttpError} 400 that says where and what. */
function checked<Schema extends z.ZodType>(schema: Schema, value: unknown): z.infer<Schema> {
  const { data, error } = schema.safeParse(value);
  if (error === undefined) return data as z.infer<Schema>;
  const errors = error.issues.map(({ path, message }) => ({ where: path.join("."), message }));
  throw new HttpError(
    400,
    "The request is not as described.",
    errors.map(({ where, message }) => (where === "" ? message : `${where}: ${message}`)).join("; "),
    { errors },
  );
}

/** The parts before and after, as RFC 8288 has it. */
function setLinks(
  request: Request,
  response: Response,
  { total, offset, limit }: NonNullable<Given["part"]>,
): void {
  const at = (from: number): string => {
    const query = new URLSearchParams(request.query as Record<string, string>);
    query.set("offset", String(from));
    query.set("limit", String(limit));
    return `${request.path}?${query}`;
  };
  const links: Record<string, string> = {};
  if (offset + limit < total) links.next = at(offset + limit);
  if (offset > 0) links.prev = at(Math.max(0, offset - limit));
  if (Object.keys(links).length > 0) response.links(links);
}
