import { type FleetFigures, foundOut, latestFoundFirst } from "../../analysis/index.ts";
import type { Store } from "../../ingest/index.ts";
import { type AfterLook, allUnits } from "./after-look.ts";
import type { ChangedRun } from "./assess-store.ts";
import { dayOfIso } from "./days.ts";
import { intervalsOf } from "./intervals-report.ts";
import { LOOK_BACK_DAYS } from "./load-findings.ts";
import type { LoadedFleet } from "./load-fleet.ts";
import { doubtedChecks, doubtedResults, resultsInWindow, windowOf } from "./out-findings.ts";
import type { FoundUnit, ServiceFacts } from "./service-desk.ts";

/** What was found of some units, with what it puts in doubt, by instrument. */
export async function foundUnits(
  store: Store,
  loaded: LoadedFleet,
  figures: FleetFigures,
  outNow: ReadonlySet<string>,
  fromDay: number,
): Promise<ReadonlyMap<string, FoundUnit[]>> {
  const told: FoundUnit[] = [];
  for (const found of foundOut(loaded.fleet, outNow, fromDay)) {
    const window = windowOf(loaded, figures, found);
    const doubted = await doubtedResults(store, window);
    // A function cannot cross between threads.
    const { offAt: _, ...since } = window.since ?? { offAt: null };
    told.push({
      found,
      since: "left" in since ? since : null,
      doubted,
      checks: doubtedChecks(loaded, window),
    });
  }
  return Map.groupBy(told, ({ found }) => found.instrument);
}

/** Findings and intervals of the whole fleet. */
export async function serviceFacts(
  store: Store,
  after: Pick<AfterLook, "ahead" | "found">,
  run: ChangedRun,
  asOf: string,
): Promise<ServiceFacts> {
  const { assessment, settings } = run;
  const asOfDay = dayOfIso(asOf);
  const fromDay = asOfDay - LOOK_BACK_DAYS;
  const ahead = [...(await after.ahead.of(run, asOf, null, allUnits(run))).values()];
  const isOut = new Map(assessment.units.map(({ instrument, state }) => [instrument, state === "out"]));
  const asked = new Map(
    ahead.flatMap(({ facts: { instrument, findings } }) => {
      const outNow = isOut.get(instrument) === true;
      const wasOut = findings.some(({ wasSound, servicedDay }) => !wasSound && servicedDay >= fromDay);
      return outNow || wasOut ? [[instrument, { outNow }] as const] : [];
    }),
  );
  const ask = () => after.found.of(run, asOf, { fromDay }, asked);
  // Results come without a change of the unit.
  const changed = await withOtherResults(store, await ask());
  after.found.forget(changed);
  const found = [...(await ask()).values()].flat();
  return {
    asOf,
    fromDay,
    findings: found.sort((a, b) => latestFoundFirst(a.found, b.found)),
    intervals: intervalsOf(
      { asOfDay, checkEveryDays: settings.check_every_days },
      ahead.map(({ facts }) => facts),
      ahead.map(({ course }) => course),
      settings,
    ),
    settings,
  };
}

/** The units in whose windows other results stand now than those that were doubted. */
async function withOtherResults(
  store: Store,
  answers: ReadonlyMap<string, readonly FoundUnit[]>,
): Promise<string[]> {
  const changed = new Set<string>();
  for (const window of [...answers.values()].flat()) {
    const results = await resultsInWindow(store, window);
    const doubted = window.doubted.map(({ result }) => result);
    if (JSON.stringify(results) !== JSON.stringify(doubted)) changed.add(window.found.instrument);
  }
  return [...changed];
}
