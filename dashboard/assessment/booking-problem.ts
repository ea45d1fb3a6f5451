import type { BookingProblem, BookingUnit, CoverRule, Workshop } from "../../analysis/index.ts";
import type { Settings } from "../settings.ts";
import { mondayOf } from "./iso-weeks.ts";
import type { ReturnsInput, ReturnsUnit } from "./returns-input.ts";

/** What somebody may ask of a return plan, beside the settings. */
export interface ReturnsQuestion {
  /** Units taken in a week by one workshop for all; null: the workshops of the settings, if any are named. */
  readonly capacityPerWeek: number | null;
  /** Weeks in which each workshop takes in another number, by name like "2026-W52"; 0 closes it. */
  readonly otherWeeks: Readonly<Record<string, number>>;
  /** Units of a site that may be away at once; null: by the settings' share. */
  readonly sparePerSite: number | null;
  /** Share of units that are to be in tolerance when they return; null: the settings'. */
  readonly reliabilityTarget: number | null;
  /** Weeks chosen by hand, by instrument; they go before the weeks that are kept. */
  readonly fixed: ReadonlyMap<string, string>;
  /** Whether the weeks that are kept are left out, to tell what they cost. */
  readonly withoutKept?: true;
}

/** The target at which the settings' costs hold as they are: they were weighed against it. */
const REFERENCE_TARGET = 0.95;

/** Weeks over which a fleet is spread where no capacity is named: a year less holidays, with some air. */
const WORKING_WEEKS = 42;

/** A problem with the units that it books, in the same order. */
export interface PosedProblem {
  readonly problem: BookingProblem;
  readonly units: readonly ReturnsUnit[];
}

/**
 * The booking problem that a question poses. Units without a service date are left out.
 *
 * @remarks
 * A stricter target makes being out dearer in proportion: half the share allowed out, twice the price. A unit that
 * cannot be judged is planned by its due date alone. Of a site's units with one geometry, one always stays where
 * there are two or more.
 */
export function poseProblem(
  input: ReturnsInput,
  question: ReturnsQuestion,
  settings: Settings,
): PosedProblem {
  const { planning } = settings;
  const units = input.units.filter((unit) => unit.dueDay !== null);
  const target = question.reliabilityTarget ?? settings.reliability_target;
  const dearer = (1 - REFERENCE_TARGET) / (1 - target);
  const { costs } = planning;
  return {
    units,
    problem: {
      weeks: input.weeks.length,
      units: units.map((unit) => bookingUnit(unit, input, question, settings)),
      workshops: workshopsOf(input, question, settings),
      cover: [...siteRules(units, question, settings), ...geometryRules(units)],
      turnaroundWeeks: planning.turnaround_weeks,
      costs: {
        outAtReturn: costs.out_at_return * dearer,
        weekOut: costs.week_out * dearer,
        weekEarly: costs.week_early,
        weekLate: costs.week_late,
        shipment: costs.shipment,
      },
    },
  };
}

/** Index of the planning week that holds a day; below 0 before the first. */
export function weekOfDay({ asOfDay }: ReturnsInput, day: number): number {
  return (mondayOf(day) - mondayOf(asOfDay)) / 7;
}

function bookingUnit(
  unit: ReturnsUnit,
  input: ReturnsInput,
  { fixed, withoutKept }: ReturnsQuestion,
  { planning }: Settings,
): BookingUnit {
  const chosen = fixed.get(unit.instrument) ?? (withoutKept ? null : unit.keptWeek);
  const fixedWeek = input.weeks.findIndex((week) => week.name === chosen);
  return {
    instrument: unit.instrument,
    site: unit.site,
    dueWeek: weekOfDay(input, unit.dueDay!),
    criticality: planning.criticality[unit.instrument] ?? 1,
    outBy: unit.outBy ?? new Float64Array(input.weeks.length),
    fixedWeek: fixedWeek < 0 ? null : fixedWeek,
    skill: unit.modelClass,
  };
}

function workshopsOf(input: ReturnsInput, question: ReturnsQuestion, { planning }: Settings): Workshop[] {
  const closed = new Set(planning.closed_weeks);
  const usual = planning.workshops.length > 0 ? null : Math.ceil(input.units.length / WORKING_WEEKS);
  const capacityPerWeek = question.capacityPerWeek ?? usual;
  const shops =
    capacityPerWeek === null
      ? planning.workshops
      : [{ name: "workshop", capacity_per_week: capacityPerWeek, other_weeks: {} as Record<string, number> }];
  return shops.map((shop) => ({
    name: shop.name,
    capacity: input.weeks.map(({ name }) => {
      const asked = question.otherWeeks[name];
      if (asked !== undefined) return asked;
      return closed.has(name) ? 0 : (shop.other_weeks[name] ?? shop.capacity_per_week);
    }),
    skills: ("model_classes" in shop ? shop.model_classes : undefined) ?? null,
  }));
}

function siteRules(
  units: readonly ReturnsUnit[],
  { sparePerSite }: ReturnsQuestion,
  { planning }: Settings,
): CoverRule[] {
  return grouped(units, ({ site }) => site).map(([site, members]) => ({
    kind: "site",
    site,
    geometry: null,
    units: members,
    awayAtOnce: sparePerSite ?? Math.max(1, Math.floor((members.length * planning.spare_percent) / 100)),
  }));
}

function geometryRules(units: readonly ReturnsUnit[]): CoverRule[] {
  return grouped(units, ({ site }) => site).flatMap(([site, members]) =>
    grouped(members, (i) => units[i]!.geometry)
      .filter(([, same]) => same.length > 1)
      .map(([geometry, same]) => ({
        kind: "geometry" as const,
        site,
        geometry,
        units: same.map((k) => members[k]!),
        awayAtOnce: same.length - 1,
      })),
  );
}

/** Indices by key, those without one left out. */
function grouped<T>(items: readonly T[], keyOf: (item: T) => string | null): [string, number[]][] {
  const groups = new Map<string, number[]>();
  items.forEach((item, i) => {
    const key = keyOf(item);
    if (key === null) return;
    const group = groups.get(key);
    if (group) group.push(i);
    else groups.set(key, [i]);
  });
  return [...groups];
}
