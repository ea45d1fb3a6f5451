import {
  type FleetChecks,
  type FleetFigures,
  type LotUse,
  lotsFromUses,
  lotUses,
} from "../../analysis/index.ts";
import type { Store } from "../../ingest/index.ts";
import { type AfterLook, allUnits } from "./after-look.ts";
import type { ChangedRun } from "./assess-store.ts";
import type { FluidsView } from "./views.ts";

/** What each unit did with each lot, by instrument. */
export function lotsOfUnits(fleet: FleetChecks, figures: FleetFigures): ReadonlyMap<string, LotUse[]> {
  const uses = Map.groupBy(lotUses(fleet, figures), ({ unit }) => unit.instrument);
  return new Map(fleet.units.map(({ instrument }) => [instrument, uses.get(instrument) ?? []]));
}

/** Lots in full and baths, of the whole fleet. */
export async function fluidsView(
  store: Store,
  after: Pick<AfterLook, "lots">,
  run: ChangedRun,
  asOf: string,
): Promise<FluidsView> {
  const { assessment, settings, figures, revision } = run;
  const [fluids, uses] = await Promise.all([store.fluids(), after.lots.of(run, asOf, null, allUnits(run))]);
  const names = assessment.lots.map(({ fluidLot }) => fluidLot);
  const inFull = lotsFromUses(figures, names, [...uses.values()].flat());
  const lotOf = new Map(inFull.map((lot) => [lot.fluidLot, lot]));
  const certificateOf = new Map(fluids.map((fluid) => [fluid.fluidLot, fluid]));
  return {
    asOf,
    revision,
    units: assessment.units.length,
    lots: assessment.lots.flatMap((lot) => {
      const full = lotOf.get(lot.fluidLot);
      if (full === undefined) return [];
      return [{ assessment: lot, inFull: full, certificate: certificateOf.get(lot.fluidLot) ?? null }];
    }),
    baths: assessment.baths,
    allowedKelvin: settings.temperature.allowed_k,
  };
}
