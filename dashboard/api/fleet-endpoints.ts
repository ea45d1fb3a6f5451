import { z } from "zod";
import { bookingsReport } from "../assessment/bookings-report.ts";
import { dayOfIso } from "../assessment/days.ts";
import { fluidsReport } from "../assessment/fluids-report.ts";
import { forecastReport } from "../assessment/forecast-report.ts";
import { signalsReport } from "../assessment/signals-report.ts";
import { HttpError } from "../errors.ts";
import { newestFirst } from "../page-models/checks.ts";
import { lotPage, lotPageFigures } from "../page-models/lot.ts";
import { recordFigures } from "../page-models/record.ts";
import { questionsOf, readReturnsQuery } from "../page-models/returns-query.ts";
import { siteRows } from "../page-models/sites.ts";
import { readingFigures, unitPage, unitPageFigures } from "../page-models/unit.ts";
import { type ApiParts, endpoint, NOTHING, PART, partOf } from "./endpoint.ts";
import { BOOKED, DAY, LOT, PLACE, SIGNAL, text, UNIT } from "./schemas.ts";

/** What is known of the fleet. Every answer is of the latest look at it. */

const INSTRUMENT = z.object({
  instrument: z.string().meta({ description: "The unit, as the register has it." }),
});

export async function unitOf({ assessment }: ApiParts, instrument: string) {
  const view = await assessment.unit(instrument);
  if (view !== null) return view;
  throw new HttpError(404, `No unit is called \u201c${instrument}\u201d.`, "/api/units lists every unit.");
}

export const FLEET_ENDPOINTS = [
  endpoint({
    method: "GET",
    path: "/units",
    action: "read",
    summary:
      "Every unit: where it stands and whether it leaves tolerance before its next service, the likeliest first.",
    parameters: PART.extend({
      site: z.string().optional(),
      state: z.enum(["steady", "leaning", "heading-out", "out", "unjudged"]).optional(),
    }),
    body: null,
    answer: PLACE.extend({ as_of: DAY, units: z.array(UNIT) }),
    give: async ({ assessment }, { parameters }) => {
      const view = await assessment.current();
      const { site, state } = parameters;
      const chosen = view.assessment.units.filter(
        (unit) => (site === undefined || unit.site === site) && (state === undefined || unit.state === state),
      );
      const { rows, part } = partOf(chosen, parameters);
      const { units } = forecastReport({ ...view.assessment, units: rows }, []);
      return { document: { as_of: view.asOf, ...part, units }, part };
    },
  }),
  endpoint({
    method: "GET",
    path: "/units/:instrument",
    action: "read",
    summary: "One unit in full, as springtide unit has it.",
    parameters: INSTRUMENT,
    body: null,
    answer: z.looseObject({ as_of: DAY }),
    give: async (parts, { parameters }) => ({
      document: unitPageFigures(unitPage(await unitOf(parts, parameters.instrument))),
    }),
  }),
  endpoint({
    method: "GET",
    path: "/units/:instrument/checks",
    action: "read",
    summary: "Every reading of one unit, the latest first, down to the file and line that it came from.",
    parameters: INSTRUMENT.extend(PART.shape),
    body: null,
    answer: PLACE.extend({ as_of: DAY, instrument: z.string(), readings: z.array(z.looseObject({})) }),
    give: async (parts, { parameters }) => {
      const view = await unitOf(parts, parameters.instrument);
      const { rows, part } = partOf(newestFirst(view.readings), parameters);
      const { instrument } = view.instrument;
      return { document: { as_of: view.asOf, instrument, ...part, readings: readingFigures(rows) }, part };
    },
  }),
  endpoint({
    method: "GET",
    path: "/signals",
    action: "read",
    summary:
      "What the control charts have raised within the fleet's budget of false alarms, and what stands out this week.",
    parameters: z.object({ since: DAY.optional() }),
    body: null,
    answer: z.object({
      budget: z.object({ false_alarms_per_month: z.number(), streams: z.number(), run_length: z.number() }),
      signals: z.array(SIGNAL),
      review: z.array(z.looseObject({ instrument: z.string() })),
    }),
    give: async ({ assessment }, { parameters: { since } }) => {
      const review = await assessment.review();
      const from = since === undefined ? Number.NEGATIVE_INFINITY : dayOfIso(since);
      const signals = review.signals.filter(({ onDay }) => onDay >= from);
      return { document: signalsReport({ ...review, signals, newLimits: [] }) };
    },
  }),
  endpoint({
    method: "GET",
    path: "/fluids",
    action: "read",
    summary: "Every fluid lot's estimated error and every site's bath.",
    parameters: NOTHING,
    body: null,
    answer: z.object({ as_of: DAY, lots: z.array(LOT), baths: z.array(z.looseObject({ site: z.string() })) }),
    give: async ({ assessment }) => ({ document: fluidsReport((await assessment.current()).assessment) }),
  }),
  endpoint({
    method: "GET",
    path: "/fluids/:lot",
    action: "read",
    summary: "One lot over its age, and what each unit says of it.",
    parameters: z.object({ lot: z.string() }),
    body: null,
    answer: z.looseObject({}),
    give: async ({ assessment }, { parameters: { lot } }) => ({
      document: lotPageFigures(lotPage(await assessment.fluids(), lot, 1)),
    }),
  }),
  endpoint({
    method: "GET",
    path: "/bookings",
    action: "read",
    summary: "The return plan: which unit goes in which week, and why.",
    parameters: z.object({
      capacity: z.coerce.number().int().min(1).max(9999).optional().meta({ description: "Units a week." }),
      target: z.coerce.number().gt(50).lt(100).optional().meta({ description: "% in tolerance at return." }),
    }),
    body: null,
    answer: z.looseObject({
      as_of: DAY,
      capacity_per_week: z.number().nullable(),
      weeks: z.array(z.looseObject({ week: z.string(), units: z.array(z.string()) })),
      units: z.array(BOOKED),
      expected_out_days: z.number(),
      expected_out_days_if_on_due_date: z.number(),
    }),
    give: async ({ assessment }, { parameters: { capacity, target } }) => {
      const given = { capacity, target };
      const asked = Object.fromEntries(
        Object.entries(given).flatMap(([name, value]) =>
          value === undefined ? [] : [[name, String(value)]],
        ),
      );
      const view = await assessment.returns(questionsOf(readReturnsQuery(asked)).slice(0, 1));
      const plan = view.plans[0]!;
      const byWorkshops = view.settings.planning.workshops.length > 0 && capacity === undefined;
      return { document: bookingsReport(plan, byWorkshops ? null : (plan.weeks[0]?.capacity ?? 0)) };
    },
  }),
  endpoint({
    method: "GET",
    path: "/record",
    action: "read",
    summary: "How past forecasts came true; `record` is null until it has been worked out.",
    parameters: NOTHING,
    body: null,
    answer: z.looseObject({}),
    give: async ({ assessment }) => ({ document: recordFigures(await assessment.record(false)) }),
  }),
  endpoint({
    method: "GET",
    path: "/sites",
    action: "read",
    summary: "Sites side by side: units by state, checks on time, scatter.",
    parameters: NOTHING,
    body: null,
    answer: z.object({ as_of: DAY, sites: z.array(z.looseObject({ site: text })) }),
    give: async ({ assessment }) => {
      const view = await assessment.current();
      return { document: { as_of: view.asOf, sites: siteRows(view) } };
    },
  }),
];
