import { SERVICE_ACTIONS, type ServiceAction, type ServiceRecord } from "../../ingest/index.ts";
import { signedAs } from "../access/person.ts";
import { dayOfIso } from "../assessment/days.ts";

/** One return from service as it was typed, and the first thing that is not right. */
export interface ReturnForm {
  readonly instrument: string;
  readonly servicedAt: string;
  readonly action: string;
  readonly by: string;
  /** Units of one's sites, to choose from. */
  readonly known: ReadonlySet<string>;
  readonly fault: ReturnFault | null;
}

export type ReturnFault = "unit" | "day" | "future" | "action" | "by";

export function readReturnForm(
  fields: Readonly<Record<string, unknown>>,
  known: ReadonlySet<string>,
): ReturnForm {
  const text = (name: string): string => (typeof fields[name] === "string" ? fields[name].trim() : "");
  return {
    instrument: text("unit"),
    servicedAt: text("day"),
    action: text("action"),
    by: signedAs(text("by")),
    known,
    fault: null,
  };
}

/** The same with what is amiss, or null where it can be taken in. */
export function returnExamined(form: ReturnForm, nowMs: number): ReturnForm {
  return { ...form, fault: faultOf(form, nowMs) };
}

function faultOf(
  { instrument, servicedAt, action, by, known }: ReturnForm,
  nowMs: number,
): ReturnFault | null {
  if (!known.has(instrument)) return "unit";
  const ms = /^\d{4}-\d{2}-\d{2}$/.test(servicedAt) ? Date.parse(servicedAt) : Number.NaN;
  if (Number.isNaN(ms) || new Date(ms).toISOString().slice(0, 10) !== servicedAt) return "day";
  if (dayOfIso(servicedAt) * 86_400_000 > nowMs) return "future";
  if (!SERVICE_ACTIONS.some((one) => one === action)) return "action";
  return by === "" || by.length > 100 ? "by" : null;
}

/** The service that a sound form tells of. */
export function serviceOf({ instrument, servicedAt, action }: ReturnForm): ServiceRecord {
  return { instrument, servicedAt, action: action as ServiceAction };
}
