import { createServer } from "node:http";
import { isIPv6 } from "node:net";
import type { FrontDoor } from "./accounts/front-door.ts";
import { createApp } from "./app.ts";
import type { ServiceDesk } from "./assessment/service-desk.ts";
import type { Assessment } from "./assessment/views.ts";
import { CommandError } from "./commands/errors.ts";
import { EventStreams } from "./event-streams.ts";
import type { IntakeDesk } from "./intake/desk.ts";
import type { ServerLog } from "./running/log.ts";

/** Longer than the servers before ours keep a connection without use. Unit: ms. */
const KEEP_ALIVE_MS = 75_000;
/** Requests under way when the server stops have so long to end. Unit: ms. */
const STOP_WITHIN_MS = 10_000;

export interface ServerParts {
  readonly assessment: Assessment;
  /** Left out where nothing is to come in by way of the pages. */
  readonly desk?: IntakeDesk;
  /** Left out where nothing is asked about findings and intervals. */
  readonly service?: ServiceDesk;
  /** Left out where nobody is asked to sign in. */
  readonly door?: FrontDoor | undefined;
  /** 0 takes a free one. */
  readonly port: number;
  readonly host: string;
  /** How long a client may take; as {@link PATIENCE} if left out. */
  readonly patience?: Patience;
  /** Where failures are told; standard error if left out. */
  readonly report?: (error: unknown) => void;
  /** Told of every answer; null: nothing is logged. */
  readonly log?: ServerLog;
}

/** Whoever sends slower than this holds a connection for nothing, and it is closed. Unit: ms. */
export interface Patience {
  /** For the headers of a request. */
  readonly headersMs: number;
  /** For all of a request: a large file over a slow line takes its time. */
  readonly requestMs: number;
  /** Connections are looked through so often. */
  readonly lookEveryMs: number;
}

const PATIENCE: Patience = { headersMs: 20_000, requestMs: 600_000, lookEveryMs: 5_000 };

export interface RunningServer {
  /** "http://127.0.0.1:4780/". */
  readonly url: string;
  /** Stops taking requests, lets those under way end, and returns when the port is free. */
  close(): Promise<void>;
}

/**
 * Starts the dashboard.
 *
 * @throws {CommandError} where the address cannot be had: says which and what to do.
 */
export async function startServer(parts: ServerParts): Promise<RunningServer> {
  const {
    assessment,
    desk,
    service,
    door,
    port,
    host,
    patience = PATIENCE,
    log = null,
    report = (error: unknown) => console.error(error),
  } = parts;
  const events = new EventStreams(assessment, report);
  const server = createServer(
    {
      headersTimeout: patience.headersMs,
      requestTimeout: patience.requestMs,
      connectionsCheckingInterval: patience.lookEveryMs,
      keepAliveTimeout: KEEP_ALIVE_MS,
    },
    createApp({ assessment, desk, service, door, events, report, log }),
  );
  await new Promise<void>((resolve, reject) => {
    server.once("error", (error: NodeJS.ErrnoException) => reject(cannotListen(error, port, host)));
    server.listen(port, host, resolve);
  });
  const address = server.address();
  const takenPort = typeof address === "object" && address !== null ? address.port : port;
  return {
    url: `http://${isIPv6(host) ? `[${host}]` : host}:${takenPort}/`,
    close: async () => {
      const closed = new Promise<void>((resolve) => server.close(() => resolve()));
      // Streams would stay open for as long as somebody looks.
      await events.end();
      // Browsers keep their connections when they have been answered.
      const idle = setInterval(() => server.closeIdleConnections(), 50);
      // What is not answered by then is cut off.
      const late = setTimeout(() => server.closeAllConnections(), STOP_WITHIN_MS);
      await closed;
      clearInterval(idle);
      clearTimeout(late);
    },
  };
}

function cannotListen(error: NodeJS.ErrnoException, port: number, host: string): Error {
  const because: Readonly<Record<string, string>> = {
    EADDRINUSE: `port ${port} on ${host} is in use; choose another with --port, or 0 for a free one`,
    EACCES: `port ${port} may not be used by this account; choose one above 1023 with --port`,
    EADDRNOTAVAIL: `this machine has no address ${host}; leave --host out for 127.0.0.1`,
    ENOTFOUND: `there is no host called ${host}; leave --host out for 127.0.0.1`,
  };
  const known = because[error.code ?? ""];
  return known === undefined ? error : new CommandError(known);
}
