import pino, { type Logger } from "pino";

/** Told of what the server does, one JSON object a line on standard error; null: nothing but failures, as text. */
export type ServerLog = Logger | null;

/**
 * A log without personal data: no names, addresses, questions or contents, and nothing of the store.
 *
 * @param write Takes the lines; standard error where left out.
 */
export function openLog(write?: (line: string) => void): Logger {
  const options = { base: { pid: process.pid }, timestamp: pino.stdTimeFunctions.isoTime };
  // Written at once: what a server said last is what one looks for when it is gone.
  return write === undefined
    ? pino(options, pino.destination({ dest: 2, sync: true }))
    : pino(options, { write });
}
