import { z } from "zod";
import { FINDING_DECISIONS, HELD_STATES, IngestError } from "../../ingest/index.ts";
import { signedAs, whoAsks } from "../access/person.ts";
import { scopedIntake } from "../access/scoped-held.ts";
import { isoOfDay } from "../assessment/days.ts";
import { intervalsReport } from "../assessment/intervals-report.ts";
import { keepFinding } from "../assessment/keep-finding.ts";
import { checkReport, findingReport, resultReport } from "../assessment/out-findings.ts";
import { CommandError } from "../commands/errors.ts";
import { HttpError } from "../errors.ts";
import { heldReport } from "../intake/held-report.ts";
import { SETTLINGS, settleHeld } from "../intake/settle-held.ts";
import { findingAt } from "../page-models/findings.ts";
import { examined, noteOf, readNoteForm } from "../page-models/note-form.ts";
import { mergeSettings, putInForce, settingsOverTime } from "../settings-in-force.ts";
import { troubleText } from "../wording/note-form.ts";
import { type ApiParts, endpoint, NOTHING, PART, partOf } from "./endpoint.ts";
import { unitOf } from "./fleet-endpoints.ts";
import { ACTING, DAY, PLACE } from "./schemas.ts";

/** What people record and decide. */

const FINDING = z.object({ instrument: z.string(), day: DAY });
const HELD_NUMBER = z.object({ number: z.coerce.number().int().min(1).max(Number.MAX_SAFE_INTEGER) });

export const RECORDS_ENDPOINTS = [
  endpoint({
    method: "GET",
    path: "/files",
    action: "read",
    summary: "Files that were taken in, the latest first; for those who see all sites.",
    parameters: PART,
    body: null,
    answer: PLACE.extend({ files: z.array(z.looseObject({ file: z.string() })) }),
    give: async ({ desk }, { parameters }) => {
      const files = [...(await scopedIntake(desk.store).files())].reverse();
      const { rows, part } = partOf(files, parameters);
      const told = rows.map(({ takenInAtMs, profileSha256: _, fileId, ...file }) => ({
        number: fileId,
        ...file,
        taken_in_at: new Date(takenInAtMs).toISOString(),
      }));
      return { document: { ...part, files: told }, part };
    },
  }),
  endpoint({
    method: "GET",
    path: "/held",
    action: "read",
    summary: "Rows that were held back, word for word, with what was done about each.",
    parameters: PART.extend({
      state: z.enum(HELD_STATES).optional(),
      site: z.string().optional(),
      instrument: z.string().optional(),
    }),
    body: null,
    answer: PLACE.extend({
      held: z.array(z.looseObject({ number: z.number().int(), state: z.enum(HELD_STATES) })),
    }),
    give: async ({ desk }, { parameters: { limit, offset, ...filter } }) => {
      const { held } = scopedIntake(desk.store);
      const [{ rows: total }, rows] = [await held.count(filter), await held.list(filter, { offset, limit })];
      const part = { total, offset, limit };
      return { document: { ...part, held: rows.map(heldReport) }, part };
    },
  }),
  endpoint({
    method: "POST",
    path: "/held/:number",
    action: "take-in",
    summary:
      "Settles a held row: mends it, reads it again, puts it in the place of a stored reading, or dismisses it.",
    parameters: HELD_NUMBER,
    body: ACTING.extend({
      action: z.enum(SETTLINGS),
      values: z
        .record(z.string(), z.string())
        .default({})
        .meta({ description: "mend: new values by column." }),
      row: z.string().max(100_000).default("").meta({ description: "mend-row: the whole row anew." }),
    }),
    answer: z.looseObject({ number: z.number().int() }),
    give: async ({ desk }, { parameters: { number }, body: { why, by, ...order } }) => {
      const { held } = scopedIntake(desk.store);
      const row = await held.find(number);
      if (row === null) throw new HttpError(404, `There is no held row ${number}.`, "/api/held lists them.");
      try {
        await settleHeld(
          desk.store,
          row,
          { by: nameFor(by), why, nowMs: desk.now(), sites: whoAsks().sites },
          order,
        );
      } catch (error) {
        if (!(error instanceof IngestError)) throw error;
        throw new HttpError(409, error.message, "Ask for the row again and look at how it stands.");
      }
      return { document: heldReport((await held.find(number))!) };
    },
  }),
  endpoint({
    method: "GET",
    path: "/findings",
    action: "read",
    summary: "Units found out of tolerance, since when they likely were, and what was decided.",
    parameters: PART,
    body: null,
    answer: PLACE.extend({ as_of: DAY, findings: z.array(z.looseObject({ instrument: z.string() })) }),
    give: async ({ service }, { parameters }) => {
      const { facts, findings } = await service.findings();
      const { rows, part } = partOf(findings, parameters);
      return { document: { as_of: facts.asOf, ...part, findings: rows.map(findingReport) }, part };
    },
  }),
  endpoint({
    method: "GET",
    path: "/findings/:instrument/:day",
    action: "read",
    summary: "One finding, with the checks and results of the time in which the unit may have been out.",
    parameters: FINDING,
    body: null,
    answer: z.looseObject({
      as_of: DAY,
      checks: z.array(z.looseObject({})),
      results: z.array(z.looseObject({})),
    }),
    give: async (parts, { parameters }) => {
      const { facts, finding } = await findingOf(parts, parameters);
      return {
        document: {
          as_of: facts.asOf,
          ...findingReport(finding),
          checks: finding.checks.map(checkReport),
          results: finding.doubted.map(resultReport),
        },
      };
    },
  }),
  endpoint({
    method: "POST",
    path: "/findings/:instrument/:day",
    action: "govern",
    summary: "Records a finding, and what is decided about it. Nothing is closed by itself.",
    parameters: FINDING,
    body: ACTING.extend({ decision: z.enum(FINDING_DECISIONS).nullable().default(null) }),
    answer: z.looseObject({ instrument: z.string() }),
    give: async (parts, { parameters, body: { why, by, decision } }) => {
      const { finding } = await findingOf(parts, parameters);
      await keepFinding(parts.service, finding, { by: nameFor(by), why, decision });
      return { document: findingReport((await findingOf(parts, parameters)).finding) };
    },
  }),
  endpoint({
    method: "GET",
    path: "/intervals",
    action: "read",
    summary: "What interval between services each unit has earned, and by which method.",
    parameters: NOTHING,
    body: null,
    answer: z.looseObject({ as_of: DAY, units: z.array(z.looseObject({ instrument: z.string() })) }),
    give: async ({ service }) => {
      const { asOf, intervals, settings } = await service.facts();
      return { document: intervalsReport(asOf, { ...intervals }, settings) };
    },
  }),
  endpoint({
    method: "POST",
    path: "/units/:instrument/notes",
    action: "judge",
    summary: "A note on a unit: a check set aside, a step's cause settled, limits fitted anew, a remark.",
    parameters: z.object({ instrument: z.string() }),
    body: ACTING.extend({
      kind: z.string().meta({ description: "set-aside, step-cause, remark or baseline." }),
      on: z.string().default("").meta({ description: "The day that it is about; not for set-aside." }),
      at: z.coerce
        .string()
        .default("")
        .meta({ description: "set-aside: the check's instant, ms since 1970 UTC." }),
      speed: z.coerce
        .string()
        .default("")
        .meta({ description: "set-aside: only the reading at this speed." }),
    }),
    answer: z.object({ number: z.number().int() }),
    give: async (parts, { parameters: { instrument }, body }) => {
      const { desk } = parts;
      const form = readNoteForm(
        await unitOf(parts, instrument),
        { ...body, by: nameFor(body.by) },
        desk.now(),
      );
      const { trouble } = examined(form, desk.now());
      if (trouble !== null) {
        throw new HttpError(422, `${trouble.field}: ${troubleText(trouble)}`, "Nothing was kept.");
      }
      return { document: { number: await desk.store.addJudgement(noteOf(form, desk.now())) } };
    },
  }),
  endpoint({
    method: "GET",
    path: "/settings",
    action: "read",
    summary: "The rules in force.",
    parameters: NOTHING,
    body: null,
    answer: z.looseObject({ tolerance: z.looseObject({}) }),
    give: async ({ desk }) => {
      const { settings, tag } = await settingsNow(desk);
      return { document: settings, tag };
    },
  }),
  endpoint({
    method: "POST",
    path: "/settings",
    action: "govern",
    summary:
      "Puts some settings in force, the others left as they are. Old verdicts stay as they were judged.",
    parameters: NOTHING,
    body: ACTING.extend({
      settings: z
        .record(z.string(), z.unknown())
        .meta({ description: "Some of the settings, nested as in the whole." }),
    }),
    answer: z.looseObject({ tolerance: z.looseObject({}) }),
    ifMatch: true,
    give: async ({ desk }, { body: { settings: part, by, why }, seen }) => {
      const before = await settingsNow(desk);
      if (seen !== before.tag) {
        throw new HttpError(
          412,
          "Somebody has changed the settings since you looked at them.",
          "Ask for the settings again, and send the change with their ETag as If-Match.",
        );
      }
      try {
        await putInForce(desk.store, mergeSettings(before.settings, part), {
          nowMs: desk.now(),
          by: nameFor(by),
          why,
          fromDay: null,
        });
      } catch (error) {
        if (!(error instanceof CommandError)) throw error;
        throw new HttpError(422, error.message, "Nothing was changed.");
      }
      const { settings, tag } = await settingsNow(desk);
      return { document: settings, tag };
    },
  }),
];

/** @throws {HttpError} 422 where nobody is named. */
function nameFor(by: string): string {
  const name = signedAs(by);
  if (name !== "") return name;
  throw new HttpError(422, "by: it is not said who decides.", "Send a name, or sign in.");
}

async function findingOf({ service }: ApiParts, { instrument, day }: z.infer<typeof FINDING>) {
  const { facts, findings } = await service.findings();
  return { facts, finding: findingAt(findings, instrument, day) };
}

async function settingsNow({ store, now }: ApiParts["desk"]) {
  const overTime = await settingsOverTime(store, isoOfDay(now() / 86_400_000));
  return { settings: overTime.at(-1)!.settings, tag: `"settings-${overTime.length - 1}"` };
}
