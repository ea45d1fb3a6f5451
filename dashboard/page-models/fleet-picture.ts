import type { BandName, FleetAssessment, UnitForecast, UnitState } from "../../analysis/index.ts";

/** Every unit on its due date: where its worst band stands and where it is expected then. */
export interface FleetPicture {
  readonly fromDay: number;
  readonly toDay: number;
  /** Units drawn one by one, mildest first, so that what matters lies on top. */
  readonly strokes: readonly FleetStroke[];
  /** Steady units by the heap, where there are too many to draw one by one. */
  readonly heaps: readonly SteadyHeap[];
  /** Units that cannot be placed: not judged, or with no service date. */
  readonly notPlaced: number;
}

export interface FleetStroke {
  readonly instrument: string;
  readonly site: string | null;
  readonly state: UnitState;
  readonly band: BandName;
  readonly chance: number;
  /** A service that is overdue lies at the first day of the picture. */
  readonly dueDay: number;
  /** Error over tolerance. */
  readonly now: number;
  readonly atService: number;
}

/** So many steady units of about this due date and about this error over tolerance at their service. */
export interface SteadyHeap {
  readonly dueDay: number;
  readonly atService: number;
  readonly units: number;
}

/** More steady units than this run into each other, and are drawn as heaps. */
const DRAWN_ONE_BY_ONE = 500;
const HEAP_DAYS = 10;
const HEAP_ERROR = 0.125;
const LONGEST_DAYS = 550;
const SHORTEST_DAYS = 90;
const BY_SEVERITY: readonly UnitState[] = ["unjudged", "steady", "leaning", "heading-out", "out"];

export function fleetPicture({ units, asOfDay }: FleetAssessment): FleetPicture {
  const placed = units.map((unit) => strokeOf(unit, asOfDay)).filter((stroke) => stroke !== null);
  const steady = placed.filter((stroke) => stroke.state === "steady");
  const heaped = steady.length > DRAWN_ONE_BY_ONE;
  const strokes = heaped ? placed.filter((stroke) => stroke.state !== "steady") : placed;
  const last = placed.reduce((latest, stroke) => Math.max(latest, stroke.dueDay), asOfDay + SHORTEST_DAYS);
  return {
    fromDay: asOfDay,
    toDay: Math.min(last, asOfDay + LONGEST_DAYS),
    strokes: strokes.sort((a, b) => BY_SEVERITY.indexOf(a.state) - BY_SEVERITY.indexOf(b.state)),
    heaps: heaped ? heapsOf(steady, asOfDay) : [],
    notPlaced: units.length - placed.length,
  };
}

function strokeOf(unit: UnitForecast, asOfDay: number): FleetStroke | null {
  const { bands, band, nextServiceDueDay, pOutBeforeService } = unit;
  if (bands === null || band === null || nextServiceDueDay === null || pOutBeforeService === null)
    return null;
  return {
    instrument: unit.instrument,
    site: unit.site,
    state: unit.state,
    band,
    chance: pOutBeforeService,
    dueDay: Math.min(Math.max(nextServiceDueDay, asOfDay), asOfDay + LONGEST_DAYS),
    now: bands[band].now,
    atService: bands[band].atService,
  };
}

function heapsOf(strokes: readonly FleetStroke[], asOfDay: number): SteadyHeap[] {
  const heaps = Map.groupBy(strokes, ({ dueDay, atService }) => {
    return `${Math.floor((dueDay - asOfDay) / HEAP_DAYS)} ${Math.round(atService / HEAP_ERROR)}`;
  });
  return [...heaps].map(([key, members]) => {
    const [column, row] = key.split(" ").map(Number);
    return {
      dueDay: asOfDay + (column! + 0.5) * HEAP_DAYS,
      atService: row! * HEAP_ERROR,
      units: members.length,
    };
  });
}
