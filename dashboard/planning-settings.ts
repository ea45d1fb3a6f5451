import { z } from "zod";

const isoWeek = z.string().regex(/^\d{4}-W(0[1-9]|[1-4]\d|5[0-3])$/, "a week is written like 2026-W14");
const cost = z.number().min(0).max(10_000);

/** A workshop that units are sent to. */
const workshop = z.strictObject({
  name: z.string().min(1),
  capacity_per_week: z.number().int().min(0).max(10_000),
  /** Weeks in which it takes another number. */
  other_weeks: z.record(isoWeek, z.number().int().min(0)).default({}),
  /** Model classes that it can serve; every one where left out. */
  model_classes: z.array(z.string().min(1)).optional(),
});

/** How returns are planned. */
export const planningSchema = z.strictObject({
  workshops: z.array(workshop),
  closed_weeks: z.array(isoWeek),
  /** Share of a site's units that may be away at once; one always may. */
  spare_percent: z.number().min(0).max(100),
  /** Weeks that a unit is away, the one in which it leaves included. */
  turnaround_weeks: z.number().int().min(1).max(26),
  /** How much worse than for an ordinary unit it is to have this one out of tolerance. */
  criticality: z.record(z.string(), z.number().gt(0).max(100)),
  costs: z.strictObject({
    out_at_return: cost,
    week_out: cost,
    week_early: cost,
    week_late: cost,
    shipment: cost,
  }),
  /** The organisation's longest interval between services. */
  longest_interval_days: z.number().int().min(7).max(3660),
});

export type PlanningSettings = z.infer<typeof planningSchema>;

export const DEFAULT_PLANNING: PlanningSettings = {
  // None named: the call or the page says how many units a week can be taken in.
  workshops: [],
  closed_weeks: [],
  // One unit in five can be missed for a time: our own choice.
  spare_percent: 20,
  // There, serviced and back: our own choice.
  turnaround_weeks: 2,
  criticality: {},
  // One week given away is worth 3 % of risk; a week used out of tolerance as much as 10 % of finding it so at its
  // return: our own choice, to be set by whoever answers for the units.
  costs: { out_at_return: 100, week_out: 10, week_early: 3, week_late: 40, shipment: 5 },
  // A year: common practice, no source.
  longest_interval_days: 366,
};
