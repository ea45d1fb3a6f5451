import { randomInt } from "node:crypto";
import type { Account, AccountChange, Accounts, KeptPassword } from "../../ingest/index.ts";
import { mayDo, type Role } from "../access/roles.ts";
import { CommandError } from "../commands/errors.ts";
import { LAST_ADMINISTRATOR, passwordFaultText } from "../wording/accounts.ts";
import { passwordFault } from "./password-rules.ts";
import { digestPassword } from "./passwords.ts";
import { isRole } from "./roles.ts";

/** What is said of a person who is to be added. */
export interface NewPerson {
  readonly name: string;
  readonly email: string | null;
  readonly role: Role;
  readonly sites: readonly string[] | null;
}

/** How somebody comes in at first. given: by a password of their own; company: by the company's sign-in alone. */
export type FirstPassword =
  | { readonly kind: "one-time" }
  | { readonly kind: "given"; readonly password: string }
  | { readonly kind: "company" };

/** A one-time password is to be used within a week. Unit: ms. */
const ONE_TIME_MS = 7 * 86_400_000;

const MOST_NAME = 100;

/**
 * Adds a person.
 *
 * @returns The one-time password, to be told once; null where there is none.
 * @throws {CommandError} for a name, an address or a password that cannot be.
 * @throws {IngestError} "name-taken".
 */
export async function addPerson(
  accounts: Accounts,
  person: NewPerson,
  first: FirstPassword,
  nowMs: number,
): Promise<{ readonly id: number; readonly oneTime: string | null }> {
  const { name, email, role, sites } = person;
  checkName(name);
  checkEmail(email);
  if (first.kind === "company" && email === null) {
    throw new CommandError(`${name} needs an e-mail address, by which the company's sign-in is matched.`);
  }
  const { password, oneTime } = await firstPassword(person, first, nowMs);
  const id = await accounts.add({
    name,
    email,
    role,
    sites,
    password,
    subject: null,
    disabledAtMs: null,
    madeAtMs: nowMs,
  });
  return { id, oneTime };
}

/**
 * Changes what an account may do, or whether it may at all.
 *
 * @throws {CommandError} where nobody would be left to administer, or for an address that cannot be.
 */
export async function changePerson(
  accounts: Accounts,
  account: Account,
  change: AccountChange,
): Promise<void> {
  if (change.email !== undefined) checkEmail(change.email);
  const after = { ...account, ...change };
  if (administers(account) && !administers(after)) {
    const others = (await accounts.list()).filter((one) => one.id !== account.id && administers(one));
    if (others.length === 0) throw new CommandError(LAST_ADMINISTRATOR);
  }
  // An address that is another person's from now on is not to open this account to whom it was matched with before.
  const isOther = change.email !== undefined && change.email?.toLowerCase() !== account.email;
  await accounts.change(account.id, isOther ? { ...change, subject: null } : change);
}

/** Gives a person a one-time password in the place of the present one; sessions end, a lock is lifted. */
export async function resetPassword(accounts: Accounts, account: Account, nowMs: number): Promise<string> {
  const oneTime = newOneTime();
  await accounts.change(account.id, { password: await oneTimePassword(oneTime, nowMs) });
  await accounts.forgetAttempts(account.name);
  return oneTime;
}

/** Whether an account lets its person look after the others. */
export function administers({ role, disabledAtMs }: Pick<Account, "role" | "disabledAtMs">): boolean {
  return disabledAtMs === null && isRole(role) && mayDo(role, "administer");
}

async function firstPassword(
  { name, email }: NewPerson,
  first: FirstPassword,
  nowMs: number,
): Promise<{ readonly password: KeptPassword | null; readonly oneTime: string | null }> {
  switch (first.kind) {
    case "company":
      return { password: null, oneTime: null };
    case "given": {
      const fault = passwordFault(first.password, [name, email ?? ""]);
      if (fault !== null) throw new CommandError(passwordFaultText(fault));
      return {
        password: { digest: await digestPassword(first.password), oneTimeUntilMs: null },
        oneTime: null,
      };
    }
    case "one-time": {
      const oneTime = newOneTime();
      return { password: await oneTimePassword(oneTime, nowMs), oneTime };
    }
  }
}

async function oneTimePassword(oneTime: string, nowMs: number): Promise<KeptPassword> {
  return { digest: await digestPassword(oneTime), oneTimeUntilMs: nowMs + ONE_TIME_MS };
}

/** Letters and digits that are not mistaken for each other when read out or written down. */
const LEGIBLE = "abcdefghjkmnpqrstuvwxyz23456789";

/** Four groups of four: 79 random bits. */
function newOneTime(): string {
  const group = () => Array.from({ length: 4 }, () => LEGIBLE[randomInt(LEGIBLE.length)]).join("");
  return [group(), group(), group(), group()].join("-");
}

function checkName(name: string): void {
  if (name === "" || name.length > MOST_NAME || name !== name.trim() || /\p{C}/u.test(name)) {
    throw new CommandError(
      `A person's name has 1 to ${MOST_NAME} characters, without blanks at its ends; got "${name.slice(0, MOST_NAME)}".`,
    );
  }
}

/** Only what no address can lack; whether it is somebody's, the company's sign-in says. */
function checkEmail(email: string | null): void {
  if (email === null || (/^[^\s@]+@[^\s@]+$/.test(email) && email.length <= 254)) return;
  throw new CommandError(
    `"${email.slice(0, 254)}" is no e-mail address; write it like r.planner@lab.example.`,
  );
}
