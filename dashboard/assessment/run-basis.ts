import { createHash } from "node:crypto";
import type { FleetChecks, FleetFigures, UnitChecks } from "../../analysis/index.ts";

/** What a run's forecasts were made from, as digests: where they are the same, so are the forecasts. */
export interface RunBasis {
  /** Of all that every unit's forecast takes from the fleet. */
  readonly fleet: string;
  /** Of each unit's own checks, services and due date, by instrument. */
  readonly units: ReadonlyMap<string, string>;
}

/** The basis of a run over a fleet with figures learnt before. */
export function runBasis(fleet: FleetChecks, figures: FleetFigures): RunBasis {
  const { units, ...common } = fleet;
  return {
    fleet: createHash("sha256")
      .update(JSON.stringify([common, figures]))
      .digest("base64"),
    units: new Map(units.map((unit) => [unit.instrument, unitDigest(unit)])),
  };
}

/** The units of a fleet that stand in both bases with the same digest, of fleets that have all else in common. */
export function unchangedUnits(basis: RunBasis, before: RunBasis | null): ReadonlySet<string> {
  if (before?.fleet !== basis.fleet) return new Set();
  const same = [...basis.units].filter(([instrument, digest]) => before.units.get(instrument) === digest);
  return new Set(same.map(([instrument]) => instrument));
}

function unitDigest({ readings, ...facts }: UnitChecks): string {
  const hash = createHash("sha256").update(JSON.stringify(facts));
  for (const column of Object.values(readings)) if (typeof column !== "number") hash.update(column);
  return hash.digest("base64");
}
