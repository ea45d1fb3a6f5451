import { type Request, type Response, Router, urlencoded } from "express";
import { signedAs } from "../access/person.ts";
import { isoOfDay } from "../assessment/days.ts";
import type { Assessment } from "../assessment/views.ts";
import { CommandError } from "../commands/errors.ts";
import { HttpError } from "../errors.ts";
import type { IntakeDesk } from "../intake/desk.ts";
import {
  type SettingsPage,
  type SettingsProposal,
  settingFigures,
  settingsPage,
  settingsReport,
} from "../page-models/settings.ts";
import { renderSettings } from "../pages/settings.ts";
import { differencesOf, GEOMETRY_FIELD, settingsFromForm } from "../setting-fields.ts";
import type { Settings } from "../settings.ts";
import { putInForce, settingsOverTime } from "../settings-in-force.ts";
import { EVERY_SETTING } from "../wording/settings.ts";
import { answer } from "./answer.ts";

/** `/settings`: the rules in force, what others would do, and the way to keep them. */
export function settingsRoutes(assessment: Assessment, desk: IntakeDesk): Router {
  const router = Router();
  const form = urlencoded({ extended: false, limit: "200kb", parameterLimit: 2000 });

  router.get("/settings", async (request, response) => {
    const page = await pageOf(assessment, desk, typedFields(request.query));
    await send(request, response, page);
  });

  router.post("/settings", form, async (request, response) => {
    const body = (request.body ?? {}) as Record<string, unknown>;
    const text = (name: string): string => {
      const value = body[name];
      return typeof value === "string" ? value.trim() : "";
    };
    const typed = typedFields(body);
    const [by, why, from] = [signedAs(text("by")), text("why"), text("from")];
    if (by === "" || why === "") {
      throw new HttpError(400, "Your name or the reason is missing.", "Go back and fill in both.");
    }
    const { settings, changes } = await present(desk);
    if (text("changes") !== String(changes)) {
      throw new HttpError(
        409,
        "Somebody has changed the settings since this form was filled in.",
        "Open the page of the settings again and look at what is in force.",
      );
    }
    try {
      const proposed = settingsFromForm(settings, typed);
      if (differencesOf(settings, proposed).length === 0)
        throw new CommandError("These settings are in force already.");
      if (from !== "" && !isDay(from))
        throw new CommandError(`\u201c${from}\u201d is no day; write it like 2026-03-31.`);
      await putInForce(desk.store, proposed, {
        nowMs: desk.now(),
        by,
        why,
        fromDay: from === "" ? null : from,
      });
    } catch (error) {
      if (!(error instanceof CommandError)) throw error;
      throw new HttpError(400, error.message, "Go back and change what was asked.");
    }
    response.redirect(303, "/settings#history");
  });
  return router;
}

async function send(request: Request, response: Response, page: SettingsPage): Promise<void> {
  if (page.refusal !== null) response.status(400);
  await answer(request, response, {
    html: () => renderSettings(page),
    json: () => settingsReport(page),
    csv: () => settingFigures(page),
    fileName: `settings-${page.asOf}`,
  });
}

async function present({ store, now }: IntakeDesk): Promise<{ settings: Settings; changes: number }> {
  const overTime = await settingsOverTime(store, isoOfDay(now() / 86_400_000));
  return { settings: overTime.at(-1)!.settings, changes: overTime.length - 1 };
}

async function pageOf(
  assessment: Assessment,
  { store, now }: IntakeDesk,
  typed: ReadonlyMap<string, string>,
): Promise<SettingsPage> {
  const [fleet, overTime, geometries, costs] = await Promise.all([
    assessment.current(),
    settingsOverTime(store, isoOfDay(now() / 86_400_000)),
    store.geometries(),
    assessment.budgetCosts(),
  ]);
  let proposal: SettingsProposal | null = null;
  let refusal: string | null = null;
  try {
    proposal = await proposalOf(assessment, overTime.at(-1)!.settings, typed);
  } catch (error) {
    if (!(error instanceof CommandError)) throw error;
    refusal = error.message;
  }
  return settingsPage({
    asOf: fleet.asOf,
    overTime,
    geometries: geometries.map(({ geometry }) => geometry),
    costs,
    proposal,
    refusal,
    typed,
  });
}

async function proposalOf(
  assessment: Assessment,
  present: Settings,
  typed: ReadonlyMap<string, string>,
): Promise<SettingsProposal | null> {
  const settings = settingsFromForm(present, typed);
  const paths = differencesOf(present, settings);
  return paths.length === 0 ? null : { settings, paths, preview: await assessment.settingsPreview(settings) };
}

const PLACES = new Set(EVERY_SETTING.map(({ path }) => path));

/** What a form or an address says of settings; anything else in it is left alone. */
function typedFields(fields: Readonly<Record<string, unknown>>): ReadonlyMap<string, string> {
  return new Map(
    Object.entries(fields).flatMap(([name, value]) =>
      typeof value === "string" && (PLACES.has(name) || name.startsWith(GEOMETRY_FIELD))
        ? [[name, value.trim()] as const]
        : [],
    ),
  );
}

function isDay(text: string): boolean {
  const time = /^\d{4}-\d{2}-\d{2}$/.test(text) ? Date.parse(text) : Number.NaN;
  return !Number.isNaN(time) && isoOfDay(time / 86_400_000) === text;
}
