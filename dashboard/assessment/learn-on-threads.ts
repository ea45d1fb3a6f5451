import {
  FitShare,
  type FleetChecks,
  type FleetFigures,
  fitInSteps,
  fitParts,
  type PartAnswer,
} from "../../analysis/index.ts";
import { type FleetThreads, withThreads } from "./fleet-threads.ts";

/**
 * Learns a fleet on threads: to the last digit what `fitFleet` learns, however many they are.
 *
 * @param fleet Its readings lie in memory that threads share, see `SeriesBuilder`.
 * @param threads As are worth it, and end with this work, where left out.
 */
export function learnOnThreads(fleet: FleetChecks, threads?: FleetThreads): Promise<FleetFigures> {
  const parts = fitParts(fleet);
  const units = parts.reduce((sum, part) => sum + part.units.length, 0);
  return withThreads(threads, async (kept) => {
    const elsewhere = kept.others(units);
    const shareOf = (share: number) =>
      parts.filter(({ number }) => number % (elsewhere.length + 1) === share);
    for (const [i, thread] of elsewhere.entries()) void thread.ask({ parts: shareOf(i + 1) });
    const here = new FitShare(shareOf(0));
    const fit = fitInSteps(fleet, parts);
    let next = fit.next();
    while (!next.done) {
      const step = next.value;
      const others = elsewhere.map((thread) => thread.ask<PartAnswer[]>({ step }));
      const answers = here.answer(step);
      next = fit.next(answers.concat(...(await Promise.all(others))));
    }
    return next.value;
  });
}
