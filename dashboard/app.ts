import compression from "compression";
import express, { type ErrorRequestHandler, type Express, Router } from "express";
import helmet from "helmet";
import { StoreError } from "../ingest/index.ts";
import { askedAt, methodsAt } from "./access/doors.ts";
import { guard } from "./access/guard.ts";
import { scopedAssessment, scopedService } from "./access/scoped-assessment.ts";
import type { FrontDoor } from "./accounts/front-door.ts";
import { personOf } from "./accounts/person-of.ts";
import { apiRoutes } from "./api/routes.ts";
import type { ServiceDesk } from "./assessment/service-desk.ts";
import type { Assessment } from "./assessment/views.ts";
import { HttpError } from "./errors.ts";
import type { EventStreams } from "./event-streams.ts";
import type { IntakeDesk } from "./intake/desk.ts";
import { renderError } from "./pages/error.ts";
import { assetRoutes } from "./routes/assets.ts";
import { eventRoutes } from "./routes/events.ts";
import { findRoutes } from "./routes/find.ts";
import { findingsRoutes } from "./routes/findings.ts";
import { firstLook } from "./routes/first-look.ts";
import { fluidsRoutes } from "./routes/fluids.ts";
import { healthRoutes } from "./routes/health.ts";
import { howRoutes } from "./routes/how.ts";
import { intakeRoutes } from "./routes/intake.ts";
import { intervalsRoutes } from "./routes/intervals.ts";
import { keepBookingsRoutes } from "./routes/keep-bookings.ts";
import { notesRoutes } from "./routes/notes.ts";
import { noticesRoutes } from "./routes/notices.ts";
import { peopleRoutes } from "./routes/people.ts";
import { recordRoutes } from "./routes/record.ts";
import { recordReturnRoutes } from "./routes/record-return.ts";
import { returnsRoutes } from "./routes/returns.ts";
import { reviewRoutes } from "./routes/review.ts";
import { settingsRoutes } from "./routes/settings.ts";
import { sideBySideRoutes } from "./routes/side-by-side.ts";
import { signInRoutes } from "./routes/sign-in.ts";
import { todayRoutes } from "./routes/today.ts";
import { tokenRoutes } from "./routes/tokens.ts";
import { trailRoutes } from "./routes/trail.ts";
import { unitRoutes } from "./routes/unit.ts";
import { unitsRoutes } from "./routes/units.ts";
import type { ServerLog } from "./running/log.ts";
import { Metrics } from "./running/metrics.ts";
import { watchRequests } from "./running/watch-requests.ts";
import { inNumberForm, numberFormOf } from "./wording/number-form.ts";

export interface AppParts {
  readonly assessment: Assessment;
  /** Left out where nothing is to come in by way of the pages. */
  readonly desk?: IntakeDesk | undefined;
  /** Left out where nothing is asked about findings and intervals. */
  readonly service?: ServiceDesk | undefined;
  /** Left out where nobody is asked to sign in. */
  readonly door?: FrontDoor | undefined;
  /** Told of every answer; left out: nothing is logged but failures. */
  readonly log?: ServerLog | undefined;
  /** Tell open pages of new results. */
  readonly events: EventStreams;
  /** Is told of every failure that is a defect and not a request's fault. */
  readonly report: (error: unknown) => void;
}

/** Only what comes from our own address, nothing that stands in the page itself, no eval. */
const CONTENT_POLICY = {
  defaultSrc: ["'none'"],
  scriptSrc: ["'self'"],
  styleSrc: ["'self'"],
  fontSrc: ["'self'"],
  imgSrc: ["'self'"],
  connectSrc: ["'self'"],
  formAction: ["'self'"],
  baseUri: ["'none'"],
  frameAncestors: ["'none'"],
};

/** Builds the dashboard; does not listen. */
export function createApp(parts: AppParts): Express {
  const { door, report } = parts;
  const app = express();
  const metrics = new Metrics(parts.assessment, parts.desk?.store);
  app.use(watchRequests(metrics, parts.log ?? null));
  app.set("trust proxy", door?.proxies ?? 0);
  app.use(
    helmet({
      contentSecurityPolicy: { useDefaults: false, directives: CONTENT_POLICY },
      // Served over plain HTTP on one's own machine: asking browsers for HTTPS would lock it out.
      strictTransportSecurity: door?.secure === true,
    }),
  );
  app.use(compression());
  app.use((request, _response, next) => {
    // Figures for programs are the same for all.
    if (request.query.format !== undefined || request.path.startsWith("/api/")) return next();
    inNumberForm(numberFormOf(request.headers["accept-language"]), next);
  });
  app.use(pageRoutes(parts, metrics));
  app.use((request, response) => {
    const methods = methodsAt(request.path);
    if (methods.length > 0 && askedAt(request.method, request.path) === null) {
      response.set("Allow", methods.join(", "));
      throw new HttpError(
        405,
        "This address is not asked in this way.",
        `It takes ${methods.join(" and ")}.`,
      );
    }
    throw new HttpError(404, "There is no page at this address.", `Nothing is at ${request.path}.`);
  });
  app.use(answerErrors(report));
  return app;
}

/** Everything behind the guard. */
function pageRoutes({ desk, door, events, report, ...all }: AppParts, metrics: Metrics): Router {
  const assessment = scopedAssessment(all.assessment);
  const service = all.service && scopedService(all.service);
  const app = Router();
  app.use(
    guard({
      personOf: door === undefined ? undefined : (request) => personOf(door, request),
      publicAddress: door?.publicAddress ?? null,
    }),
  );
  app.use(healthRoutes(all.assessment, metrics));
  app.use(assetRoutes());
  if (door !== undefined) app.use(signInRoutes(door, report)).use(peopleRoutes(door)).use(tokenRoutes(door));
  app.use(howRoutes());
  app.use(eventRoutes(events));
  if (desk !== undefined)
    app.use(intakeRoutes(desk)).use(noticesRoutes(desk)).use(trailRoutes(desk.store.trail));
  if (desk !== undefined && service !== undefined) app.use(apiRoutes({ assessment, service, desk }));
  app.use(firstLook(assessment));
  app.use(todayRoutes(assessment));
  app.use(reviewRoutes(assessment));
  app.use(unitsRoutes(assessment));
  app.use(unitRoutes(assessment));
  app.use(sideBySideRoutes(assessment));
  if (desk !== undefined) app.use(notesRoutes(assessment, desk));
  app.use(fluidsRoutes(assessment));
  app.use(returnsRoutes(assessment));
  if (desk !== undefined)
    app.use(keepBookingsRoutes(assessment, desk)).use(recordReturnRoutes(assessment, desk));
  if (service !== undefined) app.use(findingsRoutes(service)).use(intervalsRoutes(service));
  app.use(recordRoutes(assessment));
  if (desk !== undefined) app.use(settingsRoutes(assessment, desk));
  app.use(findRoutes(assessment));
  return app;
}

function answerErrors(report: (error: unknown) => void): ErrorRequestHandler {
  // Express tells error handlers by their four arguments.
  return (error: unknown, request, response, _next) => {
    const known = toHttpError(error);
    if (known === null || error instanceof StoreError) report(error);
    const told =
      known ??
      new HttpError(
        500,
        "This page could not be made.",
        "The fault is on our side, and the server\u2019s log says more.",
      );
    if (response.headersSent) {
      response.destroy();
      return;
    }
    const { status, message, wayOut, more } = told;
    response.status(status);
    if (request.path.startsWith("/api/")) {
      // RFC 9457.
      const problem = { type: "about:blank", title: message, status, detail: wayOut, instance: request.path };
      response.type("application/problem+json").send(JSON.stringify({ ...problem, ...more }));
    } else if (request.query.format === "json" || request.accepts(["html", "json"]) === "json") {
      response.json({ error: { status, message, way_out: wayOut } });
    } else {
      response.type("html").send(renderError(message, wayOut));
    }
  };
}

/** Express throws errors of its own for addresses it cannot read; they carry a status. */
function toHttpError(error: unknown): HttpError | null {
  if (error instanceof HttpError) return error;
  if (error instanceof StoreError) {
    return new HttpError(
      503,
      "The records cannot be reached just now.",
      "Try again in a moment; whoever looks after this server finds the reason in its log.",
    );
  }
  if (error instanceof URIError) {
    return new HttpError(400, "This address cannot be read.", "It holds a % that stands for nothing.");
  }
  // A form that is too large or in no known encoding.
  if (
    error instanceof Error &&
    "status" in error &&
    Number(error.status) >= 400 &&
    Number(error.status) < 500
  ) {
    return new HttpError(Number(error.status), "What was sent cannot be read.", "Go back and send it again.");
  }
  return null;
}
