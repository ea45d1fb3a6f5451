import type { UnitInterval } from "../../../analysis/index.ts";
import { dayOfIso } from "../../../dashboard/assessment/days.ts";
import { ServiceDesk, type ServiceFacts } from "../../../dashboard/assessment/service-desk.ts";
import { DEFAULT_SETTINGS } from "../../../dashboard/settings.ts";
import type { Store } from "../../../ingest/index.ts";
import { SITES } from "./fixture-unit.ts";

/** A desk that has found three units out, one of them with results in its window, and knows 60 intervals. */
export class FixtureServiceDesk extends ServiceDesk {
  constructor(store: Store, now: () => number) {
    super(store, async () => FACTS, now);
  }
}

const AS_OF = "2026-03-31";
const toDay = dayOfIso(AS_OF);
const off = (torquePercent: number) => ({ torquePercent, p05: 1.6, p50: 2.1, p95: 2.7 });

function since(foundDay: number, left: { p05: number; p50: number; p95: number } | null) {
  return {
    lifeFromDay: foundDay - 300,
    foundDay,
    left,
    chanceOut: left === null ? 0.2 : 1,
    lastSoundDay: foundDay - 60,
    firstUnsoundDay: foundDay - 10,
    course: { day: [foundDay - 300, foundDay], leftBy: [0, left === null ? 0.2 : 1] },
    offNow: [20, 50, 85].map(off),
  };
}

const FACTS: ServiceFacts = {
  asOf: AS_OF,
  fromDay: toDay - 366,
  findings: [
    {
      found: {
        instrument: "V-0010",
        site: "Ashmere",
        servicedDay: null,
        lifeFromDay: null,
        foundDay: toDay - 4,
        worst: 1.62,
      },
      since: since(toDay - 4, { p05: toDay - 50, p50: toDay - 40, p95: toDay - 30 }),
      checks: [{ day: toDay - 40, worst: 1.3, torquePercent: 70, off: off(70), leftBy: 0.6 }],
      doubted: [
        {
          result: {
            instrument: "V-0010",
            measuredAtMs: (toDay - 20) * 86_400_000,
            sample: "=batch 7",
            viscosityMPaS: 100,
            torquePercent: 50,
          },
          off: off(50),
          leftBy: 0.99,
        },
        {
          result: {
            instrument: "V-0010",
            measuredAtMs: (toDay - 19) * 86_400_000,
            sample: "batch 8",
            viscosityMPaS: null,
            torquePercent: null,
          },
          off: null,
          leftBy: 1,
        },
      ],
    },
    {
      found: {
        instrument: "V-0029",
        site: "Weir End",
        servicedDay: toDay - 90,
        lifeFromDay: null,
        foundDay: toDay - 90,
        worst: 1.2,
      },
      since: since(toDay - 90, null),
      doubted: [],
      checks: [],
    },
    {
      found: {
        instrument: "V-0051",
        site: null,
        servicedDay: toDay - 200,
        lifeFromDay: null,
        foundDay: toDay - 200,
        worst: 2,
      },
      since: null,
      doubted: [],
      checks: [],
    },
  ],
  intervals: {
    units: Array.from({ length: 60 }, (_, i): UnitInterval => {
      const advice = (["keep", "shorten", "lengthen"] as const)[i % 3]!;
      return {
        instrument: `V-${String(i + 1).padStart(4, "0")}`,
        site: SITES[(i + 1) % SITES.length]!,
        group: "light spring",
        presentDays: 365,
        drift: { days: 300 + i, sureDays: 250 },
        staircaseDays: i % 5 === 0 ? null : 340,
        inUseDays: 400,
        findings: [],
        advice: i === 59 ? null : { advice, days: 300 + i },
        checkEveryDays: { byUse: 7, byDrift: 28 },
      };
    }),
    groups: [
      {
        group: "light spring",
        units: 60,
        findings: 100,
        foundOut: 5,
        reliability: { share: 0.95, lower: 0.89, upper: 0.98 },
        exponential: { days: 360, sureDays: 290, shape: 1, scaleDays: 7000 },
        weibull: null,
      },
    ],
  },
  settings: DEFAULT_SETTINGS,
};
