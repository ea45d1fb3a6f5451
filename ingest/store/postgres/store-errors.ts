import { StoreError } from "../../errors.ts";
import type { PostgresAddress } from "./address.ts";

/** Turns an error of PostgreSQL or of the way there into one clear line; anything else is a defect and passes unchanged. */
export function plainStoreError(error: unknown, { server, shown, user, database }: PostgresAddress): unknown {
  if (!(error instanceof Error) || error instanceof StoreError) return error;
  const code = "code" in error ? String(error.code) : "";
  const say = (kind: string, message: string) => new StoreError(kind, message, { cause: error });
  if (isUnreachable(code, error)) {
    return say(
      "store-unreachable",
      `PostgreSQL at ${server} does not answer (${reason(error, code)}): check that it is running and that the address is right.`,
    );
  }
  // Source: PostgreSQL documentation, appendix "PostgreSQL Error Codes".
  switch (code) {
    case "28P01":
    case "28000":
      return say(
        "store-refused",
        `PostgreSQL at ${server} refuses the user "${user}" for the database "${database}": check name and password.`,
      );
    case "3D000":
      return say(
        "no-store",
        `There is no database "${database}" on PostgreSQL at ${server}: have it created first, empty.`,
      );
    case "42501":
    case "25006":
      return say(
        "store-unreadable",
        `The user "${user}" has not the rights that the store ${shown} needs: let it own the database, or the schema "springtide".`,
      );
    case "53100":
      return say("disk-full", `The disk of PostgreSQL is full: nothing more was kept in the store ${shown}.`);
    case "53300":
      return say(
        "store-locked",
        `PostgreSQL at ${server} takes no more connections: try again, or raise max_connections.`,
      );
    case "58030":
    case "XX001":
    case "XX002":
      return say(
        "store-damaged",
        `The store ${shown} cannot be read (${error.message}): restore it from a backup.`,
      );
    default:
      return error;
  }
}

const NETWORK = new Set([
  "ECONNREFUSED",
  "ECONNRESET",
  "ENOTFOUND",
  "EAI_AGAIN",
  "EHOSTUNREACH",
  "ENETUNREACH",
  "ETIMEDOUT",
  "EPIPE",
]);

/** What node-postgres says of a connection that is no more; these have no code. */
const CUT =
  /^(Connection terminated|timeout exceeded when trying to connect|Client has encountered a connection error|Client was closed|Client is not queryable)/i;

function isUnreachable(code: string, error: Error): boolean {
  if (NETWORK.has(code) || code.startsWith("08") || code.startsWith("57P")) return true;
  // Several addresses of one name, none of which answers.
  if (error instanceof AggregateError) return error.errors.some((one) => NETWORK.has(one?.code));
  return CUT.test(error.message);
}

function reason(error: Error, code: string): string {
  const [first] = error instanceof AggregateError ? error.errors : [error];
  return (first?.message || code || "no answer").replace(/\s+/g, " ");
}
