import { type PlanOutcome, scoresOf } from "../../analysis/index.ts";
import type { ReturnsPlan, SiteOutcome } from "../assessment/plan-returns.ts";
import type { ServiceAnswers, ServiceFacts } from "../assessment/service-desk.ts";
import type {
  Assessment,
  CourseView,
  FleetView,
  FluidsView,
  RecordView,
  ReturnsView,
  ReviewView,
} from "../assessment/views.ts";
import { HttpError } from "../errors.ts";
import { OF_ALL_SITES, OF_ALL_SITES_WAY_OUT } from "../wording/access.ts";
import { type Person, seesSite, whoAsks } from "./person.ts";
import { SeenBySites } from "./seen-by-sites.ts";

/**
 * The same answers, for the eyes of whoever asks: of a person who is limited to sites, only what belongs to those. The
 * pages cannot show what they are not given.
 *
 * @remarks Who sees all sites is given the very same objects. A lot belongs to every site at which it was used.
 */
export function scopedAssessment(all: Assessment): Assessment {
  const views = new SeenBySites();
  const seen = async <View extends object>(
    view: Promise<View>,
    within: (view: View, person: Person) => View | Promise<View>,
  ): Promise<View> => {
    const person = whoAsks();
    const whole = await view;
    return person.sites === null ? whole : views.get(whole, person.sites, () => within(whole, person));
  };
  /** Units of one's sites. */
  const unitsSeen = async (): Promise<ReadonlySet<string>> => {
    const { assessment } = await seen(all.current(), fleetWithin);
    return new Set(assessment.units.map(({ instrument }) => instrument));
  };

  return {
    current: () => seen(all.current(), fleetWithin),
    unit: async (instrument) => {
      const person = whoAsks();
      const view = await all.unit(instrument);
      return view !== null && seesSite(person, view.instrument.site) ? view : null;
    },
    returns: (questions) => seen(all.returns(questions), returnsWithin),
    fluids: () =>
      seen(all.fluids(), async (view, person) => fluidsWithin(view, person, (await unitsSeen()).size)),
    record: (start) => seen(all.record(start), async (view) => recordWithin(view, await unitsSeen())),
    review: () => seen(all.review(), async (view) => reviewWithin(view, await unitsSeen())),
    course: () => seen(all.course(), async (view) => courseWithin(view, await unitsSeen())),
    settingsPreview: async (proposed) => {
      // Settings hold for all sites, and so does what they would do.
      if (whoAsks().sites !== null) throw new HttpError(403, OF_ALL_SITES, OF_ALL_SITES_WAY_OUT);
      return all.settingsPreview(proposed);
    },
    budgetCosts: () => all.budgetCosts(),
    standing: () => all.standing(),
  };
}

function fleetWithin(view: FleetView, person: Person): FleetView {
  const units = view.assessment.units.filter(({ site }) => seesSite(person, site));
  const names = new Set(units.map(({ instrument }) => instrument));
  return {
    ...view,
    assessment: {
      ...view.assessment,
      units,
      lots: view.assessment.lots.filter(({ fluidLot }) => usedAt(view.lotSites[fluidLot], person)),
      baths: view.assessment.baths.filter(({ site }) => seesSite(person, site)),
    },
    instruments: new Map([...view.instruments].filter(([name]) => names.has(name))),
    sites: view.sites.filter(({ site }) => seesSite(person, site)),
    lotSites: Object.fromEntries(
      Object.entries(view.lotSites).flatMap(([lot, all]) => {
        const sites = all.filter((site) => seesSite(person, site));
        return sites.length === 0 ? [] : [[lot, sites]];
      }),
    ),
    // Counted over all sites.
    readings: null,
    quarantined: null,
    // A file may hold the rows of several sites, and is called as people called it.
    files: [],
  };
}

function usedAt(sites: readonly string[] | undefined, person: Person): boolean {
  return sites?.some((site) => seesSite(person, site)) === true;
}

function fluidsWithin(view: FluidsView, person: Person, units: number): FluidsView {
  const lots = view.lots.flatMap((lot) => {
    const own = lot.inFull.units.filter(({ site }) => seesSite(person, site));
    return own.length === 0 ? [] : [{ ...lot, inFull: { ...lot.inFull, units: own } }];
  });
  const baths = view.baths.filter(({ site }) => seesSite(person, site));
  return { ...view, units, lots, baths };
}

function reviewWithin(view: ReviewView, units: ReadonlySet<string>): ReviewView {
  return {
    ...view,
    signals: view.signals.filter(({ instrument }) => units.has(instrument)),
    review: view.review.filter(({ instrument }) => units.has(instrument)),
  };
}

function courseWithin(view: CourseView, units: ReadonlySet<string>): CourseView {
  const months = view.months?.map((month) => ({
    ...month,
    units: month.units.filter(({ instrument }) => units.has(instrument)),
  }));
  return { ...view, months: months ?? null };
}

function recordWithin(view: RecordView, units: ReadonlySet<string>): RecordView {
  const { record } = view;
  if (record?.backTest == null) return view;
  const { madeOnDays, forecasts: all } = record.backTest;
  const forecasts = all.filter(({ instrument }) => units.has(instrument));
  // How many later readings were within their intervals was counted over all units.
  const backTest = { madeOnDays, forecasts, ...scoresOf(forecasts), coverage: null };
  return { ...view, record: { ...record, backTest } };
}

/** The plan is made for all sites, as they share the workshops; shown are one's own units in it. */
function returnsWithin(view: ReturnsView, person: Person): ReturnsView {
  const isSeen = ({ site }: { readonly site: string | null }) => seesSite(person, site);
  return {
    ...view,
    input: {
      ...view.input,
      units: view.input.units.filter(isSeen),
      returned: view.input.returned.filter(isSeen),
    },
    plans: view.plans.map((plan) => planWithin(plan, isSeen)),
  };
}

function planWithin(
  plan: ReturnsPlan,
  isSeen: (place: { readonly site: string | null }) => boolean,
): ReturnsPlan {
  const units = plan.units.filter(({ unit }) => isSeen(unit));
  const bySite = plan.bySite.filter(isSeen);
  return {
    ...plan,
    units,
    withoutDate: plan.withoutDate.filter(isSeen),
    bySite,
    outcome: summed(bySite, "outcome"),
    onDueDates: summed(bySite, "onDueDates"),
  };
}

function summed(sites: readonly SiteOutcome[], which: "outcome" | "onDueDates"): PlanOutcome {
  const nothing: PlanOutcome = {
    daysOut: 0,
    outAtReturn: 0,
    weeksEarly: 0,
    unitsEarly: 0,
    unitsLate: 0,
    weeksLate: 0,
    unplaced: 0,
    shipments: 0,
    cost: 0,
  };
  const keys = Object.keys(nothing) as (keyof PlanOutcome)[];
  const sum = (key: keyof PlanOutcome) => sites.reduce((total, site) => total + site[which][key], 0);
  return Object.fromEntries(keys.map((key) => [key, sum(key)])) as unknown as PlanOutcome;
}

/** What services and checks found, for the eyes of whoever asks. */
export function scopedService(all: ServiceAnswers): ServiceAnswers {
  const views = new SeenBySites();
  const seen = async (facts: ServiceFacts): Promise<ServiceFacts> => {
    const person = whoAsks();
    return person.sites === null ? facts : views.get(facts, person.sites, () => factsWithin(facts, person));
  };
  return {
    store: all.store,
    now: all.now,
    facts: async () => seen(await all.facts()),
    findings: async () => {
      const person = whoAsks();
      const { facts, findings } = await all.findings();
      return {
        facts: await seen(facts),
        findings: findings.filter(({ found }) => seesSite(person, found.site)),
      };
    },
  };
}

function factsWithin(facts: ServiceFacts, person: Person): ServiceFacts {
  const { intervals } = facts;
  const units = intervals.units.filter(({ site }) => seesSite(person, site));
  const groups = new Set(units.map(({ group }) => group));
  return {
    ...facts,
    findings: facts.findings.filter(({ found }) => seesSite(person, found.site)),
    intervals: { units, groups: intervals.groups.filter(({ group }) => groups.has(group)) },
  };
}
