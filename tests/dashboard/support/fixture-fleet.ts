import { dayOfIso } from "../../../dashboard/assessment/days.ts";
import type {
  Assessment,
  FleetView,
  FluidsView,
  RecordView,
  ReturnsView,
  ReviewView,
  SiteFacts,
  Standing,
  UnitView,
} from "../../../dashboard/assessment/views.ts";
import { fixtureFluids } from "./fixture-fluids.ts";
import { fixtureRecord } from "./fixture-record.ts";
import { fixtureReturns } from "./fixture-returns.ts";
import { fixtureReview } from "./fixture-review.ts";
import { FIXTURE_COSTS, fixtureCourse, fixturePreview } from "./fixture-settings.ts";
import { type FixtureUnit, fixtureUnit, SITES } from "./fixture-unit.ts";
import { FIXTURE_LOTS, fixtureUnitView } from "./fixture-unit-view.ts";

export const FIXTURE_AS_OF = "2026-03-31";

/** An invented fleet in the form that the pages are given, for pages without a store. */
export function fixtureAssessment(units = 200): Assessment {
  const asOfDay = dayOfIso(FIXTURE_AS_OF);
  const fleet = Array.from({ length: units }, (_, i) => fixtureUnit(i + 1, asOfDay));
  const byName = new Map(fleet.map((unit) => [unit.record.instrument, unit]));
  const view = fixtureFleetView(fleet, asOfDay);
  return {
    current: async (): Promise<FleetView> => view,
    unit: async (instrument): Promise<UnitView | null> => {
      const unit = byName.get(instrument);
      return unit === undefined ? null : fixtureUnitView(unit, FIXTURE_AS_OF, asOfDay);
    },
    returns: (questions): Promise<ReturnsView> => fixtureReturns(fleet, asOfDay, questions),
    fluids: async (): Promise<FluidsView> => fixtureFluids(view),
    record: async (): Promise<RecordView> => fixtureRecord(FIXTURE_AS_OF),
    review: async (): Promise<ReviewView> => fixtureReview(fleet, asOfDay),
    course: async () => fixtureCourse(view.assessment.units),
    settingsPreview: async () => fixturePreview(view.assessment.units),
    budgetCosts: async () => FIXTURE_COSTS,
    standing: async (): Promise<Standing> => ({
      revision: 1,
      shown: { revision: 1, asOf: FIXTURE_AS_OF, finishedAtMs: 0 },
      looking: null,
      failed: false,
    }),
  };
}

function fixtureFleetView(fleet: readonly FixtureUnit[], asOfDay: number): FleetView {
  const likelihood = (unit: FixtureUnit): number => unit.forecast.pOutBeforeService ?? -1;
  const sites: SiteFacts[] = SITES.map((site, i) => ({
    site,
    checksOnTime: [0.99, 0.94, 0.71, 0.97, 0.96][i]!,
    scatter: i === 4 ? null : { percentFs: [0.21, 0.34, 0.19, 0.26][i]!, differences: 300 },
  }));
  return {
    asOf: FIXTURE_AS_OF,
    revision: 1,
    assessment: {
      figuresAsOfDay: asOfDay,
      asOfDay,
      units: [...fleet].sort((a, b) => likelihood(b) - likelihood(a)).map((unit) => unit.forecast),
      lots: FIXTURE_LOTS,
      baths: SITES.map((site, i) => ({
        site,
        fromDay: asOfDay - 91,
        toDay: asOfDay,
        kelvin: [0.04, -0.06, 0.11, 0.02, 0][i]!,
        kelvinSd: 0.02,
        units: fleet.length / SITES.length,
      })),
    },
    instruments: new Map(fleet.map((unit) => [unit.record.instrument, unit.record])),
    sites,
    lotSites: Object.fromEntries(FIXTURE_LOTS.map(({ fluidLot }) => [fluidLot, SITES])),
    readings: fleet.length * 409,
    quarantined: 12,
    files: [
      {
        fileId: 1,
        file: "spring-checks.csv",
        kind: "readings",
        sha256: "0".repeat(64),
        profileSha256: "0".repeat(64),
        takenInAtMs: asOfDay * 86_400_000,
        rows: fleet.length * 409 + 12,
        accepted: fleet.length * 409,
        repeated: 0,
        quarantined: 12,
        flagged: 31,
      },
    ],
  };
}
