import { StoreError } from "../../errors.ts";

/** Primary result codes of SQLite that have a plain meaning for whoever waits. Source: SQLite, "Result and Error Codes". */
const BUSY = 5;
const READ_ONLY = 8;
const IO_ERROR = 10;
/** With what could not be done in the higher bits: to write (3), to have it on the disk (4), to give the file a size (6). */
const CANNOT_WRITE: ReadonlySet<number> = new Set([3, 4, 6].map((what) => IO_ERROR | (what << 8)));
const CORRUPT = 11;
const FULL = 13;
const CANNOT_OPEN = 14;
const NOT_A_DATABASE = 26;

/** Turns a database error into one clear line; anything else is a defect and passes unchanged. */
export function plainStoreError(error: unknown, location: string): unknown {
  if (!(error instanceof Error) || !("errcode" in error) || typeof error.errcode !== "number") return error;
  const say = (code: string, message: string) => new StoreError(code, message, { cause: error });
  if (CANNOT_WRITE.has(error.errcode)) {
    return say(
      "disk-full",
      `The disk takes nothing more for the store ${location}, as it does where a quota is used up: nothing more was kept.`,
    );
  }
  // The low byte is the primary code; the rest only refines it.
  switch (error.errcode & 0xff) {
    case BUSY:
      return say(
        "store-locked",
        `The store ${location} is locked by another process: wait until it has finished, then try again.`,
      );
    case FULL:
      return say("disk-full", `The disk is full: nothing more was kept in the store ${location}.`);
    case READ_ONLY:
      return say(
        "store-unreadable",
        `The store ${location} cannot be written: check the rights of file and folder.`,
      );
    case CANNOT_OPEN:
      return say(
        "store-unreadable",
        `The store ${location} cannot be opened: check that the folder exists and may be read and written.`,
      );
    case NOT_A_DATABASE:
      return say("not-a-store", notAStore(location));
    case CORRUPT:
    case IO_ERROR:
      return say(
        "store-damaged",
        `The store ${location} cannot be read (${error.message}): restore it from a backup.`,
      );
    default:
      return error;
  }
}

/** The line for a file that is something else. */
export function notAStore(location: string): string {
  return `${location} is not a Springtide store: name another file with --store sqlite:FILE.`;
}
