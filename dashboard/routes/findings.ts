import { type Request, Router, urlencoded } from "express";
import { FINDING_DECISIONS, type FindingDecisionKind } from "../../ingest/index.ts";
import { signedAs } from "../access/person.ts";
import { keepFinding } from "../assessment/keep-finding.ts";
import { checkReport, findingReport, resultReport } from "../assessment/out-findings.ts";
import type { FindingView, ServiceAnswers } from "../assessment/service-desk.ts";
import { HttpError } from "../errors.ts";
import {
  doubtedFigures,
  findingAddress,
  findingAt,
  findingDay,
  findingFigures,
  findingsPage,
} from "../page-models/findings.ts";
import { renderFinding } from "../pages/finding.ts";
import { renderFindings } from "../pages/findings.ts";
import { answer } from "./answer.ts";
import { inTime } from "./in-time.ts";

/** `/findings`: units found out of tolerance; `/findings/UNIT/DAY`: one of them, and what people decide about it. */
export function findingsRoutes(desk: ServiceAnswers): Router {
  const router = Router();
  const form = urlencoded({ extended: false, limit: "64kb", parameterLimit: 20 });

  router.get("/findings", async (request, response) => {
    const known = await inTime(request, response, desk.findings(), "service");
    if (known === null) return;
    const { facts, findings } = known;
    await answer(request, response, {
      html: () => renderFindings(findingsPage(facts, findings, request.query.page)),
      json: () => ({ as_of: facts.asOf, findings: findings.map(findingReport) }),
      csv: () => findings.map(findingFigures),
      fileName: `findings-${facts.asOf}`,
    });
  });

  router.get("/findings/:instrument/:day", async (request, response) => {
    const asked = await inTime(request, response, findingAsked(desk, request), "service");
    if (asked === null) return;
    const { facts, finding } = asked;
    await answer(request, response, {
      html: () => renderFinding(facts.asOf, finding),
      json: () => ({
        as_of: facts.asOf,
        ...findingReport(finding),
        checks: finding.checks.map(checkReport),
        results: finding.doubted.map(resultReport),
      }),
      csv: () => finding.doubted.map(doubtedFigures),
      fileName: `finding-${finding.found.instrument}-${findingDay(finding)}`,
    });
  });

  router.post("/findings/:instrument/:day", form, async (request, response) => {
    const { finding } = await findingAsked(desk, request);
    await keep(desk, finding, request);
    response.redirect(303, `${findingAddress(finding)}#decided`);
  });
  return router;
}

async function findingAsked(desk: ServiceAnswers, request: Request) {
  const { facts, findings } = await desk.findings();
  return {
    facts,
    finding: findingAt(findings, String(request.params.instrument), String(request.params.day)),
  };
}

async function keep(desk: ServiceAnswers, finding: FindingView, request: Request): Promise<void> {
  const [by, why, decision] = [
    signedAs(field(request, "by")),
    field(request, "why"),
    field(request, "decision"),
  ];
  if (by === "" || why === "") {
    throw new HttpError(400, "Your name or the reason is missing.", "Go back and fill in both.");
  }
  if (decision !== "" && !isDecision(decision)) {
    throw new HttpError(400, "There is no such decision.", "Go back and choose one of the list.");
  }
  await keepFinding(desk, finding, { by, why, decision: decision === "" ? null : decision });
}

function isDecision(text: string): text is FindingDecisionKind {
  return (FINDING_DECISIONS as readonly string[]).includes(text);
}

function field(request: Request, name: string): string {
  const value = (request.body as Record<string, unknown> | undefined)?.[name];
  return typeof value === "string" ? value.trim() : "";
}
