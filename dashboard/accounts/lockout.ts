/**
 * How long a name is locked after so many attempts in a row that did not lead to a session.
 *
 * @remarks
 * From the fifth on, half a minute, and twice as long with each further one, up to an hour: somebody who mistypes waits
 * little, somebody who guesses gets 24 a day. After a hundred the name stays locked until an administrator resets its
 * password, as NIST SP 800-63B-4, section 3.2.2, sets the limit.
 */
const FREE_ATTEMPTS = 4;
const FIRST_LOCK_MS = 30_000;
const LONGEST_LOCK_MS = 3_600_000;
const MOST_ATTEMPTS = 100;
/** The last instant that a date can tell. */
const FOR_GOOD_MS = 8_640_000_000_000_000;

/** Until when; 0 where not at all. Unit: ms since 1970-01-01 UTC. */
export function lockedUntilMs(attempts: number, atMs: number): number {
  if (attempts >= MOST_ATTEMPTS) return FOR_GOOD_MS;
  if (attempts <= FREE_ATTEMPTS) return 0;
  return atMs + Math.min(LONGEST_LOCK_MS, FIRST_LOCK_MS * 2 ** (attempts - FREE_ATTEMPTS - 1));
}

export function isForGood(untilMs: number): boolean {
  return untilMs === FOR_GOOD_MS;
}
