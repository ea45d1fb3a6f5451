import { StoreError } from "../errors.ts";
import { openSqliteStore } from "./sqlite/sqlite-store.ts";
import type { Store } from "./store.ts";

interface OpenStoreOptions {
  /** Make an empty store where there is none yet. Default true; commands that only read say false. */
  readonly create?: boolean;
  /** Told where another process writes and this one waits for it. */
  readonly onWait?: () => void;
  /** How long it waits while nothing is committed there. Unit: ms. Default: a minute. */
  readonly patienceMs?: number;
}

/** A large file is one transaction. */
const PATIENCE_MS = 60_000;

/**
 * Opens the store that an address names.
 *
 * @param url `sqlite:FILE`; FILE is relative to the working directory or absolute.
 * @throws {StoreError} "bad-store-address", "no-store", "not-a-store", "store-locked" or "store-unreadable".
 */
export async function openStore(url: string, options: OpenStoreOptions = {}): Promise<Store> {
  if (/^postgres(ql)?:\/\//.test(url)) {
    throw new StoreError(
      "bad-store-address",
      "A PostgreSQL store is not there yet: use --store sqlite:FILE.",
    );
  }
  const file = /^sqlite:(.+)$/s.exec(url)?.[1];
  if (file === undefined || file.trim() === "") {
    throw new StoreError(
      "bad-store-address",
      `"${url}" is no store address: write sqlite:FILE, for example sqlite:springtide.sqlite.`,
    );
  }
  const { create = true, onWait = () => undefined, patienceMs = PATIENCE_MS } = options;
  return openSqliteStore(file, url, { create, waiting: { onWait, patienceMs } });
}
