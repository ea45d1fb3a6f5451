import { type Request, Router, urlencoded } from "express";
import { signedAs } from "../access/person.ts";
import { endOfDayMs, isoOfDay } from "../assessment/days.ts";
import { judgementsOf, type StandingJudgement } from "../assessment/judgements.ts";
import type { Assessment } from "../assessment/views.ts";
import { HttpError } from "../errors.ts";
import type { IntakeDesk } from "../intake/desk.ts";
import { examined, noteAddress, noteOf, readNoteForm, textTrouble } from "../page-models/note-form.ts";
import { renderNote, renderNoteForm } from "../pages/note-form.ts";
import { unitAsked } from "./unit-asked.ts";

/** `/units/…/notes`: what people decide about a unit, and take back. */
export function notesRoutes(
  assessment: Assessment,
  { store, now }: Pick<IntakeDesk, "store" | "now">,
): Router {
  const router = Router();
  const form = urlencoded({ extended: false, limit: "64kb", parameterLimit: 20 });

  router.get("/units/:instrument/notes", async (request, response) => {
    const view = await unitAsked(assessment, request);
    response.type("html").send(renderNoteForm(readNoteForm(view, request.query, now())));
  });

  router.post("/units/:instrument/notes", form, async (request, response) => {
    const view = await unitAsked(assessment, request);
    const sent = examined(readNoteForm(view, request.body as Record<string, unknown>, now()), now());
    if (sent.trouble !== null) {
      response.status(422).type("html").send(renderNoteForm(sent));
      return;
    }
    const id = await store.addJudgement(noteOf(sent, now()));
    response.redirect(303, whereItStands(sent.instrument, id, view.asOf, now()));
  });

  router.get("/units/:instrument/notes/:number", async (request, response) => {
    response.type("html").send(renderNote(await noteAsked(request), "", "", null));
  });

  router.post("/units/:instrument/notes/:number", form, async (request, response) => {
    const note = await noteAsked(request);
    if (note.undoneBy !== null) {
      throw new HttpError(409, "This note was taken back already.", "Its page says by whom and why.");
    }
    const [why, by] = [field(request, "why"), signedAs(field(request, "by"))];
    const trouble = textTrouble("why", why) ?? textTrouble("by", by);
    if (trouble !== null) {
      response
        .status(422)
        .type("html")
        .send(renderNote(note, why, by, trouble));
      return;
    }
    const { instrument, id } = note;
    const nothing = { checkedAtMs: null, speedRpm: null, onDay: null };
    await store.addJudgement({ kind: "undo", instrument, madeAtMs: now(), by, why, ...nothing, undoes: id });
    const { asOf } = await unitAsked(assessment, request);
    response.redirect(303, whereItStands(instrument, id, asOf, now()));
  });

  async function noteAsked(request: Request): Promise<StandingJudgement> {
    // A unit that one does not see has no notes either.
    const { instrument } = (await unitAsked(assessment, request)).instrument;
    const notes = await judgementsOf(store, isoOfDay(now() / 86_400_000), instrument);
    const note = notes.find(({ id }) => String(id) === request.params.number);
    if (note !== undefined) return note;
    throw new HttpError(
      404,
      `There is no note ${String(request.params.number)} on this unit.`,
      "The unit\u2019s page lists its notes.",
    );
  }
  return router;
}

/** On the unit's page, or on its own where the pages show a day on which it was not known yet. */
function whereItStands(instrument: string, id: number, asOf: string, nowMs: number): string {
  const own = noteAddress(instrument, id);
  return nowMs > endOfDayMs(asOf) ? own : `${own.replace(/\/notes\/\d+$/, "")}#note-${id}`;
}

function field(request: Request, name: string): string {
  const value = (request.body as Record<string, unknown> | undefined)?.[name];
  return typeof value === "string" ? value.trim() : "";
}
