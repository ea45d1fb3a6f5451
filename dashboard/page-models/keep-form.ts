import type { KeptBooking } from "../../ingest/index.ts";
import { signedAs } from "../access/person.ts";
import { isoWeekOf } from "../assessment/iso-weeks.ts";
import type { ReturnsPlan } from "../assessment/plan-returns.ts";
import { HttpError } from "../errors.ts";
import { type NoteTrouble, textTrouble } from "./note-form.ts";
import type { ReturnsQuery } from "./returns-query.ts";

/** Weeks that are to be kept for units, or units that are to be left to the plan again, as somebody says why. */
export interface KeepForm {
  readonly kept: ReturnsQuery["fixed"];
  readonly released: readonly string[];
  readonly why: string;
  readonly by: string;
  readonly trouble: NoteTrouble | null;
}

/**
 * Reads what is to be kept: what was moved by hand, or the whole plan of the one week that is asked for; or what is to
 * be released.
 *
 * @param fields Of the address or of the body.
 * @throws {HttpError} 400 where nothing is named or a week is over, 404 for a unit that the plan has not.
 */
export function readKeepForm(
  fields: Readonly<Record<string, unknown>>,
  query: ReturnsQuery,
  plan: ReturnsPlan,
): KeepForm {
  const text = (name: string): string => (typeof fields[name] === "string" ? fields[name].trim() : "");
  const released = [fields.release].flat().filter((one) => typeof one === "string" && one !== "") as string[];
  const ofWeek = plan.units.flatMap(({ unit, week }) => {
    const name = week === null ? undefined : plan.weeks[week]?.name;
    return name !== undefined && name === query.week ? [{ instrument: unit.instrument, week: name }] : [];
  });
  const kept = released.length > 0 ? [] : query.week === null ? query.fixed : ofWeek;
  if (kept.length + released.length === 0) {
    throw new HttpError(
      400,
      "No unit is named.",
      "Choose a unit\u2019s week, or one week, in the return plan.",
    );
  }
  const known = new Set(plan.units.map(({ unit }) => unit.instrument));
  const strange = [...kept.map(({ instrument }) => instrument), ...released].find((one) => !known.has(one));
  if (strange !== undefined) {
    throw new HttpError(
      404,
      `The return plan has no unit called \u201c${strange}\u201d.`,
      "It holds every unit with a date of its next service.",
    );
  }
  const over = kept.find(({ week }) => week < isoWeekOf(plan.asOfDay));
  if (over !== undefined) {
    throw new HttpError(400, `Week ${over.week} is over.`, "Choose this week or a later one.");
  }
  const [why, by] = [text("why"), signedAs(text("by"))];
  return { kept, released, why, by, trouble: null };
}

/** The same with what is amiss, or null trouble where it can be kept. */
export function keepExamined(form: KeepForm): KeepForm {
  return { ...form, trouble: textTrouble("why", form.why) ?? textTrouble("by", form.by) };
}

/** The decisions that a sound form makes. */
export function decisionsOf({ kept, released, why, by }: KeepForm, nowMs: number): Omit<KeptBooking, "id">[] {
  const weeks = [...kept, ...released.map((instrument) => ({ instrument, week: null }))];
  return weeks.map(({ instrument, week }) => ({ instrument, week, madeAtMs: nowMs, by, why }));
}
