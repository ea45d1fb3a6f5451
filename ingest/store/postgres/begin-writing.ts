import { setTimeout as wait } from "node:timers/promises";
import { StoreError } from "../../errors.ts";
import type { PostgresAddress } from "./address.ts";
import type { Session } from "./session.ts";

/** What is done about another process that writes. */
export interface Waiting {
  /** How long nothing may move before the wait is given up. Unit: ms. */
  readonly patienceMs: number;
  /** Told once per wait, when it has lasted a moment. */
  readonly onWait: () => void;
}

const ASK_EVERY_MS = 20;
const TELL_AFTER_MS = 1000;

/**
 * Begins a writing transaction: one at a time for a store, whatever processes and hosts they are in.
 *
 * @remarks
 * The row of the store's state is what they take turns at. Readers are not stopped by it, and it goes with a
 * connection that breaks. Each statement sees what was committed before it.
 *
 * @throws {StoreError} "store-locked" where the patience is at its end.
 */
export async function beginWriting(
  session: Session,
  { shown }: PostgresAddress,
  { patienceMs, onWait }: Waiting,
): Promise<void> {
  const begunAt = performance.now();
  let movedAt = begunAt;
  let holder = "";
  let told = false;
  await session.run("BEGIN");
  for (;;) {
    const got = await session.all("SELECT id FROM store_state FOR NO KEY UPDATE SKIP LOCKED");
    if (got.length > 0) return;
    const now = performance.now();
    // The number of the transaction that holds the row: another one, and something has moved.
    const [state] = await session.all<{ holder: string }>(
      "SELECT xmin::text || ' ' || xmax::text AS holder FROM store_state",
    );
    if (state!.holder !== holder) {
      holder = state!.holder;
      movedAt = now;
    }
    if (now - movedAt >= patienceMs) {
      throw new StoreError(
        "store-locked",
        `The store ${shown} is locked by another process: wait until it has finished, then try again.`,
      );
    }
    if (!told && now - begunAt >= TELL_AFTER_MS) {
      told = true;
      onWait();
    }
    // Not in step with another process that asks as often.
    await wait(ASK_EVERY_MS * (0.5 + Math.random()));
  }
}
