import type { BandName, FleetAssessment, UnitForecast, UnitState } from "../../analysis/index.ts";

/** Every unit on its due date: where its worst band stands and where it is expected then. */
export interface FleetPicture {
  readonly fromDay: number;
  readonly asOfDay: number;
  readonly toDay: number;
  /** Units past their service date: side by side before the as-of day, the longest overdue first. */
  readonly pastDue: number;
  /** Units drawn one by one, mildest first, so that what matters lies on top. */
  readonly strokes: readonly FleetStroke[];
  /** The other units by the heap, where there are too many to draw one by one; mildest first too. */
  readonly heaps: readonly Heap[];
  /** Units that cannot be placed: not judged, or with no service date. */
  readonly notPlaced: number;
}

export interface FleetStroke {
  readonly instrument: string;
  readonly site: string | null;
  readonly state: UnitState;
  readonly band: BandName;
  readonly chance: number;
  readonly dueDay: number;
  /** Where the mark stands: the due date, but an overdue one among those past due, a far one at the end. */
  readonly placeDay: number;
  /** Error over tolerance. */
  readonly now: number;
  readonly atService: number;
}

/** So many units of one state, of about this due date and about this error over tolerance at their service. */
export interface Heap {
  readonly state: UnitState;
  readonly placeDay: number;
  readonly atService: number;
  /** Which way most of them drift: 1 up, -1 down. */
  readonly direction: 1 | -1;
  readonly units: number;
}

/** More marks than this run into each other: the rest is drawn as heaps. */
const MOST_STEADY = 400;
const MOST_OTHERS = 160;
const HEAP_DAYS = 10;
const HEAP_ERROR = 0.125;
const LONGEST_DAYS = 550;
const SHORTEST_DAYS = 90;
/** Room for those past due, as a share of the time ahead: a little for the first, more for each, up to an eighth. */
const PAST_DUE_SHARE = { least: 0.05, each: 0.002, most: 0.125 };
const BY_SEVERITY: readonly UnitState[] = ["unjudged", "steady", "leaning", "heading-out", "out"];

/** Places every unit that can be placed. */
export function fleetPicture({ units, asOfDay }: FleetAssessment): FleetPicture {
  const known = units.map(strokeOf).filter((stroke) => stroke !== null);
  const last = known.reduce((latest, { dueDay }) => Math.max(latest, dueDay), asOfDay + SHORTEST_DAYS);
  const toDay = Math.min(last, asOfDay + LONGEST_DAYS);
  const pastDue = known.filter(({ dueDay }) => dueDay < asOfDay).length;
  const fromDay = asOfDay - (toDay - asOfDay) * pastDueShare(pastDue);
  const placed = place(known, fromDay, asOfDay, toDay);
  const [steady, others] = [true, false].map((wanted) =>
    placed.filter(({ state }) => (state === "steady") === wanted),
  ) as [FleetStroke[], FleetStroke[]];
  // The units come likeliest first: those that must be drawn one by one are at the front.
  const alone = [...(steady.length <= MOST_STEADY ? steady : []), ...others.slice(0, MOST_OTHERS)];
  const together = [...(steady.length <= MOST_STEADY ? [] : steady), ...others.slice(MOST_OTHERS)];
  return {
    fromDay,
    asOfDay,
    toDay,
    pastDue,
    strokes: alone.sort(bySeverity),
    heaps: heapsOf(together, asOfDay).sort(bySeverity),
    notPlaced: units.length - placed.length,
  };
}

function pastDueShare(pastDue: number): number {
  if (pastDue === 0) return 0;
  return Math.min(PAST_DUE_SHARE.most, PAST_DUE_SHARE.least + PAST_DUE_SHARE.each * pastDue);
}

/** Keeps the order of the strokes. */
function place(
  strokes: readonly FleetStroke[],
  fromDay: number,
  asOfDay: number,
  toDay: number,
): FleetStroke[] {
  const overdue = strokes.filter(({ dueDay }) => dueDay < asOfDay).sort((a, b) => a.dueDay - b.dueDay);
  const rank = new Map(overdue.map((stroke, i) => [stroke, (i + 0.5) / overdue.length]));
  return strokes.map((stroke) => {
    const share = rank.get(stroke);
    const placeDay =
      share === undefined ? Math.min(stroke.dueDay, toDay) : fromDay + share * (asOfDay - fromDay);
    return { ...stroke, placeDay };
  });
}

function bySeverity(a: { readonly state: UnitState }, b: { readonly state: UnitState }): number {
  return BY_SEVERITY.indexOf(a.state) - BY_SEVERITY.indexOf(b.state);
}

function strokeOf(unit: UnitForecast): FleetStroke | null {
  const { bands, band, nextServiceDueDay, pOutBeforeService } = unit;
  if (bands === null || band === null || nextServiceDueDay === null || pOutBeforeService === null)
    return null;
  return {
    instrument: unit.instrument,
    site: unit.site,
    state: unit.state,
    band,
    chance: pOutBeforeService,
    dueDay: nextServiceDueDay,
    placeDay: nextServiceDueDay,
    now: bands[band].now,
    atService: bands[band].atService,
  };
}

function heapsOf(strokes: readonly FleetStroke[], asOfDay: number): Heap[] {
  const column = ({ placeDay }: FleetStroke): number => Math.floor((placeDay - asOfDay) / HEAP_DAYS);
  const row = ({ atService }: FleetStroke): number => Math.round(atService / HEAP_ERROR);
  const heaps = Map.groupBy(strokes, (stroke) => `${stroke.state} ${column(stroke)} ${row(stroke)}`);
  return [...heaps.values()].map((members) => {
    const first = members[0]!;
    const rising = members.filter(({ now, atService }) => atService >= now).length;
    return {
      state: first.state,
      placeDay: asOfDay + (column(first) + 0.5) * HEAP_DAYS,
      atService: row(first) * HEAP_ERROR,
      direction: rising * 2 >= members.length ? 1 : -1,
      units: members.length,
    };
  });
}
