import { z } from "zod";
import { DEFAULT_CHECK_EVERY_DAYS } from "../analysis/index.ts";
import { DEFAULT_PLANNING, planningSchema } from "./planning-settings.ts";

const percent = z.number().gt(0).max(100);

/** Days between checks of a unit of one use. */
const checkEvery = z.number().gt(0).max(366);

const shares = z.strictObject({
  fluid_percent: percent,
  instrument_percent: percent,
  accessory_percent: z.number().min(0).max(100),
  combine: z.enum(["linear", "root-sum-square"]),
});

/**
 * The rules in force. Each has a default with its reason; a name that is not here, or a value outside
 * its range, is an error that names both.
 */
export const settingsSchema = z.strictObject({
  tolerance: shares.extend({
    /** Other shares where a geometry needs them, by its name. */
    per_geometry: z.record(z.string(), shares.partial()),
  }),
  temperature: z.strictObject({
    reference_c: z.number().min(-50).max(200),
    allowed_k: z.number().gt(0).max(5),
    /** Whether errors and verdicts are corrected to the certificate's temperature. */
    correct: z.boolean(),
  }),
  alarms: z.strictObject({ per_month_per_100_units: z.number().gt(0).max(100) }),
  reliability_target: z.number().gt(0.5).lt(1),
  check_every_days: z.strictObject({
    several_shifts: checkEvery,
    daily: checkEvery,
    weekly: checkEvery,
    occasional: checkEvery,
  }),
  planning: planningSchema,
});

export type Settings = z.infer<typeof settingsSchema>;

export const DEFAULT_SETTINGS: Settings = {
  // 1 % of the value, 1 % and 1 % of full scale, added: common practice for checks, no source.
  tolerance: {
    fluid_percent: 1,
    instrument_percent: 1,
    accessory_percent: 1,
    combine: "linear",
    per_geometry: {},
  },
  // 25.0 ± 0.2 °C: common practice, no source. A reading is not corrected unless someone decides so.
  temperature: { reference_c: 25, allowed_k: 0.2, correct: false },
  // What a person can follow up: common practice, no source.
  alarms: { per_month_per_100_units: 1 },
  // End-of-period reliability: common choice, no source.
  reliability_target: 0.95,
  // Daily, weekly, monthly, every three months: common practice, no source.
  check_every_days: DEFAULT_CHECK_EVERY_DAYS,
  planning: DEFAULT_PLANNING,
};
