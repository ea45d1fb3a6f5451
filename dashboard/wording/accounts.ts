import type { Role } from "../access/roles.ts";
import { isForGood } from "../accounts/lockout.ts";
import { LEAST_LENGTH, MOST_LENGTH, type PasswordFault } from "../accounts/password-rules.ts";
import type { Choice, Proof } from "../accounts/sign-in.ts";
import { dateOfIso } from "./dates.ts";
import { counted, listed } from "./numbers.ts";

/** Sentences about people, passwords and tokens. */

/** What each role lets its people do, beside reading. */
export const ROLE_TEXT: Readonly<Record<Role, string>> = {
  reader: "reads every page, of the sites given",
  checker: "sends files and settles rows that were held back",
  planner: "keeps bookings",
  engineer: "sends files, writes notes on units and settles lots",
  manager: "does all of that, sets the rules and decides findings",
  administrator: "does everything, and looks after people and the trail",
};

export function sitesText(sites: readonly string[] | null): string {
  if (sites === null) return "all sites";
  return sites.length === 0 ? "no site" : listed(sites);
}

export const LAST_ADMINISTRATOR =
  "Nobody would be left to look after people: make somebody else an administrator first.";

export const PASSWORD_RULE = `At least ${LEAST_LENGTH} characters; a few words that do not belong together do well. No rule says what it must be made of.`;

export function passwordFaultText(fault: PasswordFault | "same" | "not-twice"): string {
  switch (fault) {
    case "too-short":
      return `A password has at least ${LEAST_LENGTH} characters: a few words that do not belong together do well.`;
    case "too-long":
      return `A password has at most ${MOST_LENGTH} characters.`;
    case "own-name":
      return "This password is made of its person\u2019s own name or address: choose one that nobody would try.";
    case "common":
      return "This password is made of what others try first: choose words that do not belong together.";
    case "same":
      return "This is the present password: choose another.";
    case "not-twice":
      return "The new password was not the same both times: put it in twice.";
  }
}

/** Why somebody is not signed in. */
export function refusalText(
  answer: Exclude<Proof | Choice, { readonly kind: "proven" }>,
  nowMs: number,
): string {
  switch (answer.kind) {
    case "refused":
      return "The name or the password is not right.";
    case "locked":
      return lockedText(answer.untilMs, nowMs);
    case "one-time-over":
      return "This one-time password was to be used within a week: ask an administrator for another.";
    case "unfit":
      return passwordFaultText(answer.fault);
  }
}

function lockedText(untilMs: number, nowMs: number): string {
  if (isForGood(untilMs)) {
    return "There were too many attempts under this name: ask an administrator to reset its password.";
  }
  const seconds = Math.ceil((untilMs - nowMs) / 1000);
  const wait = seconds < 90 ? counted(seconds, "second") : counted(Math.ceil(seconds / 60), "minute");
  return `There were too many attempts under this name: wait ${wait}, then try again.`;
}

export const TOO_MANY_FROM_HERE =
  "Too many attempts came from this address: wait ten minutes, then try again.";

export const COMPANY_FAILED = "The company\u2019s sign-in did not go through.";
export const COMPANY_AWAY = "The company\u2019s sign-in cannot be reached.";
export const NOT_KNOWN_HERE = "The company knows you, but you have no account here.";
export const ASK_ADMINISTRATOR =
  "Ask an administrator of this server to add you with the e-mail address that the company has verified.";

export const SHOWN_ONCE = "It is shown this once and kept nowhere: only a digest of it is stored.";

export function oneTimeText(name: string): string {
  return `${name} signs in with this one-time password within a week, and then chooses another.`;
}

export function peopleHeadline(active: number, disabled: number): string {
  const may = `${counted(active, "person", "people")} may sign in`;
  return disabled === 0 ? `${may}.` : `${may}; ${disabled} may no longer.`;
}

export function tokensHeadline(valid: number): string {
  return valid === 0
    ? "You have no token in use."
    : `${counted(valid, "token")} of yours ${valid === 1 ? "lets a program" : "let programs"} in.`;
}

export const TOKENS_FOLLOW =
  "A program sends a token in the header Authorization: Bearer, over HTTPS, and then asks in your name. It never does or sees more than you may yourself; what it does is on record under your name.";

export const SIGN_IN_FOR_TOKENS = "Tokens are made and revoked by people, not by programs.";
export const LABEL_MISSING = "Say what the token is for, in at most 100 characters.";
export const CHOOSE_ROLE = "Choose what the token may do.";
export const CHOOSE_SITES = "Choose sites that you see yourself, or all of them.";

export function lastDayText(earliest: string, latest: string): string {
  return `The last day is from ${dateOfIso(earliest)} to ${dateOfIso(latest)}: a year at most.`;
}
