import type { Judgement, ReadingColumns, Store } from "../../ingest/index.ts";
import { endOfDayMs } from "./days.ts";

/** A judgement and, where somebody took it back, who did and why. */
export interface StandingJudgement extends Judgement {
  readonly undoneBy: Judgement | null;
}

/**
 * What people had decided by the end of a day, oldest first; nothing decided later is looked at.
 *
 * @param instrument Only this unit; all where left out.
 */
export async function judgementsOf(
  store: Store,
  asOf: string,
  instrument?: string,
): Promise<StandingJudgement[]> {
  const known = (await store.judgements()).filter(
    (judgement) =>
      judgement.madeAtMs <= endOfDayMs(asOf) &&
      (instrument === undefined || judgement.instrument === instrument),
  );
  const undoing = new Map(
    known.flatMap((judgement) => (judgement.undoes ? [[judgement.undoes, judgement]] : [])),
  );
  return known
    .filter(({ kind }) => kind !== "undo")
    .map((judgement) => ({ ...judgement, undoneBy: undoing.get(judgement.id) ?? null }));
}

/**
 * The rows that somebody set aside and nobody took back.
 *
 * @returns 1 for a row that was set aside, 0 for others; null: none was. Shape: that of `columns`.
 */
export function rowsSetAside(
  columns: ReadingColumns,
  judgements: readonly StandingJudgement[],
): Uint8Array | null {
  const orders = judgements.filter(({ kind, undoneBy }) => kind === "set-aside" && undoneBy === null);
  if (orders.length === 0) return null;
  const ordersOf = Map.groupBy(orders, ({ instrument }) => columns.names.instruments.indexOf(instrument));
  const aside = new Uint8Array(columns.count);
  const checks = new Set<number>();
  for (let row = 0; row < columns.count; row++) {
    for (const { checkedAtMs, speedRpm } of ordersOf.get(columns.instrument[row]!) ?? []) {
      if (columns.checkedAtMs[row] !== checkedAtMs) continue;
      if (speedRpm === null) checks.add(columns.check[row]!);
      else if (columns.speedRpm[row] === speedRpm) aside[row] = 1;
    }
  }
  if (checks.size > 0) {
    for (let row = 0; row < columns.count; row++) if (checks.has(columns.check[row]!)) aside[row] = 1;
  }
  return aside;
}
