import { type Request, Router, urlencoded } from "express";
import { type Acting, type HeldRow, IngestError, type Mend, reread, StoreError } from "../../ingest/index.ts";
import { signedAs, whoAsks } from "../access/person.ts";
import { scopedIntake } from "../access/scoped-held.ts";
import { HttpError } from "../errors.ts";
import { type IntakeDesk, takeInRequest } from "../intake/desk.ts";
import { heldReport } from "../intake/held-report.ts";
import { isSettling, settleHeld } from "../intake/settle-held.ts";
import { intakePage } from "../page-models/intake.ts";
import { heldFilter, intakeAddress, readIntakeQuery } from "../page-models/intake-query.ts";
import { renderHeldRow } from "../pages/held-row.ts";
import { renderIntake } from "../pages/intake.ts";
import type { FigureRow } from "../tables/csv.ts";
import { answer } from "./answer.ts";

/** `/intake`: what came and what was held back, files sent to it; `/intake/held/…`: one held row; `/api/intake`. */
export function intakeRoutes(desk: IntakeDesk): Router {
  const { store } = desk;
  const seen = scopedIntake(store);
  const router = Router();
  const form = urlencoded({ extended: false, limit: "2mb", parameterLimit: 2000 });

  router.get("/intake", async (request, response) => {
    const query = readIntakeQuery(request.query);
    const all = () => seen.held.list(heldFilter(query));
    const format = request.query.format;
    const rows = format === "json" || format === "csv" ? await all() : [];
    await answer(request, response, {
      html: async () => renderIntake(await intakePage(seen, query)),
      json: () => ({ query, held: rows.map(heldReport) }),
      csv: () => rows.map(heldFigures),
      fileName: "held-rows",
    });
  });

  router.post("/intake", async (request, response) => {
    const report = await takeInRequest(desk, request, "");
    response.type("html").send(renderIntake(await intakePage(seen, readIntakeQuery({}), report)));
  });

  router.post("/api/intake", async (request, response) => {
    response.json(await takeInRequest(desk, request, nameOfBody(request)));
  });

  router.post("/intake/held", form, async (request, response) => {
    const acting = actingOf(request, desk);
    const query = readIntakeQuery(request.body as Record<string, unknown>);
    for (const row of await seen.held.list({ ...heldFilter(query), state: "held" })) {
      await settled(() => reread(store, row, "released", null, acting));
    }
    response.redirect(303, `${intakeAddress(query)}#held`);
  });

  router.get("/intake/held/:number", async (request, response) => {
    const row = await rowAsked(desk, request);
    if (request.query.format === "json") response.json(heldReport(row));
    else response.type("html").send(renderHeldRow(row));
  });

  router.post("/intake/held/:number", form, async (request, response) => {
    const row = await rowAsked(desk, request);
    await settled(() => act(desk, row, request));
    response.redirect(303, `/intake/held/${row.id}`);
  });
  return router;
}

/** @throws {HttpError} 409 where what is asked cannot be done about the row. */
async function settled(work: () => Promise<unknown>): Promise<void> {
  try {
    await work();
  } catch (error) {
    if (!(error instanceof IngestError) || error instanceof StoreError) throw error;
    throw new HttpError(409, error.message, "Go back to the row and look at how it stands.");
  }
}

async function act(desk: IntakeDesk, row: HeldRow, request: Request): Promise<void> {
  const acting = actingOf(request, desk);
  const action = field(request, "action");
  await settleHeld(desk.store, row, acting, {
    action: isSettling(action) ? action : null,
    values: action === "mend" ? newValues(request) : {},
    row: newRow(request).row ?? "",
  });
}

/** The new values of a form: only what was filled in. */
function newValues(request: Request): Readonly<Record<string, string>> {
  const values: Record<string, string> = {};
  for (const name of Object.keys(request.body as Record<string, unknown>)) {
    const value = field(request, name);
    if (name.startsWith("new-") && value !== "") values[name.slice("new-".length)] = value;
  }
  if (Object.keys(values).length > 0) return values;
  throw new HttpError(400, "No new value was given.", "Go back and fill in what is to be mended.");
}

function newRow(request: Request): Mend {
  // Forms send line ends as two characters, whatever was typed.
  return { row: field(request, "row").replace(/\r\n/g, "\n") };
}

function actingOf(request: Request, { now }: IntakeDesk): Acting {
  const by = signedAs(field(request, "by"));
  const why = field(request, "why");
  if (by === "" || why === "") {
    throw new HttpError(400, "Your name or the reason is missing.", "Go back and fill in both.");
  }
  return { by, why, nowMs: now(), sites: whoAsks().sites };
}

function field(request: Request, name: string): string {
  const value = (request.body as Record<string, unknown> | undefined)?.[name];
  return typeof value === "string" ? value.trim() : "";
}

async function rowAsked({ store }: IntakeDesk, request: Request): Promise<HeldRow> {
  const number = String(request.params.number);
  const row = /^\d{1,15}$/.test(number) ? await scopedIntake(store).held.find(Number(number)) : null;
  if (row !== null) return row;
  throw new HttpError(404, `There is no held row ${number}.`, "The intake page lists them.");
}

/** The name that a program gives the file that is its request's body. */
function nameOfBody(request: Request): string {
  const { name } = request.query;
  if (typeof name === "string") return name;
  const disposition = /filename="?([^";]+)"?/i.exec(request.headers["content-disposition"] ?? "");
  return disposition?.[1] ?? "";
}

function heldFigures(row: HeldRow): FigureRow {
  const { fields: _, decisions, stands_against: stands, ...figures } = heldReport(row);
  return { ...figures, stands_against: stands?.message ?? null, decisions: decisions.length };
}
