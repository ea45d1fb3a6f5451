import { DAY_MS, isoDay } from "./days.ts";
import type { UnitHistory } from "./history.ts";
import type { DemoOptions } from "./options.ts";
import type { Fault } from "./scenario.ts";
import { bathError, type Lot, lotError, type Surroundings } from "./surroundings.ts";

/** What is true of an invented fleet, for scoring forecasts. Errors of units in % of full scale, rates per year. */
export interface FleetTruth {
  readonly seed: number;
  readonly regime: string;
  readonly cutoff: string;
  readonly readings: number;
  readonly instruments: readonly InstrumentTruth[];
  /** `bias`: true value against the certificate when new, in %; `ageing`: % per year from `from` on. */
  readonly lots: readonly {
    readonly id: string;
    readonly bias: number;
    readonly ageing: number;
    readonly biasAtCutoff: number;
    readonly biasAtLastUse: number;
    readonly from: string;
    readonly lastUse: string;
  }[];
  /** `bath`: true minus indicated temperature at the cut-off, in K. */
  readonly sites: readonly {
    readonly id: string;
    readonly bath: number;
    readonly bathFaultFrom: string | null;
  }[];
}

export interface InstrumentTruth {
  readonly instrument: string;
  readonly class: Fault;
  /** At the end of the cut-off day: zero z, span s, curvature q, friction f, their rates, acceleration of the span. */
  readonly state: {
    readonly z: number;
    readonly s: number;
    readonly q: number;
    readonly f: number;
    readonly zr: number;
    readonly sr: number;
    readonly qr: number;
    readonly fr: number;
    readonly acc: number;
  };
  /** Largest error over tolerance of the three bands: now, and at its worst until the next service is due. */
  readonly now: number;
  readonly worst: number;
  readonly out: boolean;
  readonly outNow: boolean;
  readonly firstOut: string | null;
  readonly due: string;
  readonly lifeStart: string;
  readonly repeat: number;
  readonly steps: readonly {
    readonly on: string;
    readonly z: number;
    readonly s: number;
    readonly future: boolean;
  }[];
}

export function fleetTruth(
  options: DemoOptions,
  asOfDay: number,
  lots: readonly Lot[],
  { sites }: Surroundings,
  histories: Iterable<UnitHistory>,
): FleetTruth {
  const instruments: InstrumentTruth[] = [];
  const lastUse = new Map<Lot, number>();
  let readings = 0;
  for (const history of histories) {
    instruments.push(instrumentTruth(history, asOfDay));
    for (const check of history.checks) {
      readings += check.readings.length;
      const day = check.checkedAtMs / DAY_MS;
      lastUse.set(check.lot, Math.max(day, lastUse.get(check.lot) ?? day));
    }
  }
  return {
    seed: options.seed,
    regime: options.checks,
    cutoff: options.asOf,
    readings,
    instruments,
    lots: lots.map((lot) => {
      const last = lastUse.get(lot) ?? lot.fromDay;
      return {
        id: lot.fluidLot,
        bias: lot.errorPercent,
        ageing: lot.errorPerYear,
        biasAtCutoff: lotError(lot, asOfDay),
        biasAtLastUse: lotError(lot, last),
        from: isoDay(lot.fromDay),
        lastUse: isoDay(last),
      };
    }),
    sites: sites.map((site) => ({
      id: site.name,
      bath: bathError(site, asOfDay),
      bathFaultFrom: Number.isFinite(site.bathFaultFromDay) ? isoDay(site.bathFaultFromDay) : null,
    })),
  };
}

function instrumentTruth({ plan, truth }: UnitHistory, asOfDay: number): InstrumentTruth {
  const { state } = truth;
  return {
    instrument: plan.instrument,
    class: plan.fault,
    state: {
      z: state.zero,
      s: state.span,
      q: state.curvature,
      f: state.friction,
      zr: state.zeroPerYear,
      sr: state.spanPerYear,
      qr: state.curvaturePerYear,
      fr: state.frictionPerYear,
      acc: state.spanPerYearSquared,
    },
    now: truth.now,
    worst: truth.worst,
    out: truth.worst > 1,
    outNow: truth.now > 1,
    firstOut: truth.firstOutDay === null ? null : isoDay(truth.firstOutDay),
    due: isoDay(plan.nextServiceDue),
    lifeStart: isoDay(truth.lifeStart),
    repeat: truth.repeatability,
    steps: truth.steps.map((step) => ({
      on: isoDay(step.day),
      z: step.zero,
      s: step.span,
      future: step.day >= asOfDay + 1,
    })),
  };
}
