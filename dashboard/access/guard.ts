import type { Request, RequestHandler } from "express";
import { byHand, handAtWork } from "../../ingest/index.ts";
import { HttpError } from "../errors.ts";
import { notAllowed, OF_ALL_SITES, OF_ALL_SITES_WAY_OUT, SIGN_IN_FIRST } from "../wording/access.ts";
import { askedAt } from "./doors.ts";
import { AT_THIS_MACHINE, asPerson, type Person } from "./person.ts";
import { mayDo, rolesFor } from "./roles.ts";
import { refuseStrangers } from "./same-origin.ts";

export interface GuardParts {
  /** Who sends a request; null: nobody who is known. Left out where nobody signs in. */
  readonly personOf?: ((request: Request) => Promise<Person | null>) | undefined;
  readonly publicAddress: URL | null;
}

/**
 * Stands before everything else: who asks, whether they may, and in whose name all is done that follows.
 *
 * @remarks What a person may see of what they may read is limited by their sites, in `scoped-assessment.ts`.
 */
export function guard({ personOf, publicAddress }: GuardParts): RequestHandler {
  const signIn = personOf !== undefined;
  return async (request, response, next) => {
    refuseStrangers(request, { publicAddress, signIn });
    const asked = askedAt(request.method, request.path);
    if (asked?.action === "open") return next();
    const person = signIn ? await personOf(request) : AT_THIS_MACHINE;
    if (person === null) {
      if (request.method === "GET" && wantsPage(request)) {
        return response.redirect(303, `/sign-in?next=${encodeURIComponent(request.originalUrl)}`);
      }
      response.set("WWW-Authenticate", "Bearer");
      throw new HttpError(401, SIGN_IN_FIRST, "Programs send a token: Authorization: Bearer …");
    }
    // Routes that nobody has put into the list lead nowhere.
    if (asked === null) return next("router");
    if (!mayDo(person.role, asked.action)) {
      const { message, wayOut } = notAllowed(person.role, rolesFor(asked.action));
      throw new HttpError(403, message, wayOut);
    }
    if (asked.ofAllSites && person.sites !== null)
      throw new HttpError(403, OF_ALL_SITES, OF_ALL_SITES_WAY_OUT);
    // What one person was shown is not kept for the next at the same browser, nor on the way there.
    if (signIn) response.set("Cache-Control", "private, no-cache");
    const isProgram = request.headers.authorization !== undefined || request.path.startsWith("/api/");
    // Where nobody signs in, changes are told as those of the account that runs the server.
    const who = person.name ?? handAtWork().who;
    byHand({ who, way: isProgram ? "api" : "page" }, () => asPerson(person, next));
  };
}

function wantsPage(request: Request): boolean {
  const { format } = request.query;
  return (
    !request.path.startsWith("/api/") && format === undefined && request.accepts(["html", "json"]) === "html"
  );
}
