import type { DatabaseSync } from "node:sqlite";
import { setTimeout as wait } from "node:timers/promises";

/** What is done about another process that writes. */
export interface Waiting {
  /** How long nothing may be committed before the wait is given up. Unit: ms. */
  readonly patienceMs: number;
  /** Told once per wait, when it has lasted a moment. */
  readonly onWait: () => void;
}

const ASK_EVERY_MS = 20;
const TELL_AFTER_MS = 1000;
const BUSY = 5;

/**
 * Begins a writing transaction, waiting for other processes.
 *
 * @remarks
 * SQLite's own wait would stop this process altogether, pages included. Whoever waits behind a long row of files gets
 * its turn between two of them sooner or later, so only a store in which nothing moves is given up.
 *
 * @throws SQLite's own error, "busy" where the patience is at its end.
 */
export async function beginWriting(raw: DatabaseSync, { patienceMs, onWait }: Waiting): Promise<void> {
  const begunAt = performance.now();
  let movedAt = begunAt;
  let version = commits(raw);
  let told = false;
  const { timeout } = raw.prepare("PRAGMA busy_timeout").get() as { timeout: number };
  raw.exec("PRAGMA busy_timeout = 0");
  try {
    for (;;) {
      try {
        raw.exec("BEGIN IMMEDIATE");
        return;
      } catch (error) {
        if (!isBusy(error)) throw error;
        const now = performance.now();
        if (commits(raw) !== version) {
          version = commits(raw);
          movedAt = now;
        }
        if (now - movedAt >= patienceMs) throw error;
        if (!told && now - begunAt >= TELL_AFTER_MS) {
          told = true;
          onWait();
        }
      }
      // Not in step with another process that asks as often.
      await wait(ASK_EVERY_MS * (0.5 + Math.random()));
    }
  } finally {
    raw.exec(`PRAGMA busy_timeout = ${timeout}`);
  }
}

/** Changes whenever another connection has committed something. */
function commits(raw: DatabaseSync): number {
  return Number(raw.prepare("PRAGMA data_version").get()?.data_version);
}

function isBusy(error: unknown): boolean {
  return error instanceof Error && "errcode" in error && (Number(error.errcode) & 0xff) === BUSY;
}
