import { z } from "zod";

/** Parts of answers, by the names of the files that go in and out. Times are ISO 8601; missing figures are null. */

export const DAY = z
  .string()
  .regex(/^\d{4}-\d{2}-\d{2}$/)
  .meta({ description: "ISO day." });
export const number = z.number().nullable();
export const text = z.string().nullable();
export const probability = z.number().min(0).max(1).nullable();

export const PLACE = z.object({ total: z.number().int(), offset: z.number().int(), limit: z.number().int() });

const BAND = z.object({
  now: z.number().meta({ description: "Error over tolerance: 1 is the limit." }),
  now_sd: z.number(),
  at_service: number,
  at_service_sd: number,
  checks: z.number().int(),
});
const PART_OF_SHAPE = z
  .object({ now: z.number(), sd: z.number(), per_year: z.number() })
  .nullable()
  .meta({ description: "% of full scale." });

export const UNIT = z.looseObject({
  instrument: z.string(),
  site: text,
  next_service_due: DAY.nullable(),
  p_out_now: probability,
  p_out_before_service: probability,
  out_on: z.object({ p05: DAY.nullable(), p50: DAY.nullable(), p95: DAY.nullable() }),
  band: z.enum(["low", "medium", "high"]).nullable(),
  bands: z.object({ low: BAND, medium: BAND, high: BAND }).nullable(),
  shape: z
    .object({ zero: PART_OF_SHAPE, span: PART_OF_SHAPE, curvature: PART_OF_SHAPE, friction: PART_OF_SHAPE })
    .nullable(),
  pattern: z.object({ name: z.string(), strength: z.number() }),
  last_check: DAY.nullable(),
  overdue_check: z.boolean(),
  state: z.enum(["steady", "leaning", "heading-out", "out", "unjudged"]),
  note: text,
});

export const SIGNAL = z.looseObject({
  instrument: z.string(),
  on: DAY,
  chart: z.enum(["level", "step", "scatter"]),
  quantity: z.string(),
  size: z.number(),
  limit: z.number(),
  note: z.string(),
});

export const LOT = z.looseObject({
  fluid_lot: z.string(),
  error_percent: z.number(),
  error_sd: z.number(),
  per_year_percent: z.number(),
  units: z.number().int(),
  checks: z.number().int(),
  verdict: z.enum(["sound", "doubtful", "unsound", "unjudged"]),
});

export const BOOKED = z.looseObject({
  instrument: z.string(),
  site: text,
  due: DAY.nullable(),
  why: z.string(),
});

/** Who decides, and why: part of every change. */
export const ACTING = z.object({
  why: z.string().trim().min(1).max(500).meta({ description: "The reason, for whoever reads it later." }),
  by: z
    .string()
    .trim()
    .max(100)
    .default("")
    .meta({ description: "Who decides; where people sign in it is whoever asks, whatever is said here." }),
});
