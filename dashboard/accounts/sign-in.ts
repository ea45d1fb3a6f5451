import { type Account, type Accounts, byHand } from "../../ingest/index.ts";
import { lockedUntilMs } from "./lockout.ts";
import { type PasswordFault, passwordFault } from "./password-rules.ts";
import { digestPassword, isOutdated, isPassword } from "./passwords.ts";
import { LONGEST_SESSION_MS, type SignedInBy } from "./person-of.ts";
import { digestOf, newSecret } from "./secrets.ts";

/** Who a name and a password stand for, or why that is not told. */
export type Proof =
  | { readonly kind: "proven"; readonly account: Account }
  /** The name, the password or both are not right, or the account is disabled: which of them is not told. */
  | { readonly kind: "refused" }
  | { readonly kind: "locked"; readonly untilMs: number }
  /** The password was right, and was to be used within a time that is over. */
  | { readonly kind: "one-time-over" };

/**
 * Looks at a name and a password. It takes as long for a name that nobody has, and locks it just so.
 *
 * @remarks An account's failed attempts are forgotten as soon as its password is given.
 */
export async function prove(
  { accounts, now }: Pick<SignedInBy, "accounts" | "now">,
  name: string,
  password: string,
): Promise<Proof> {
  // Nobody is called nothing: no attempt on anybody.
  if (name === "") return { kind: "refused" };
  const nowMs = now();
  const untilMs = await accounts.countAttempt(name, nowMs, (attempts) => lockedUntilMs(attempts, nowMs));
  if (untilMs !== null) return { kind: "locked", untilMs };
  const account = await accounts.findByName(name);
  const isRight = await isPassword(password, account?.password?.digest ?? null);
  if (account === null || account.password === null || !isRight || account.disabledAtMs !== null) {
    await accounts.noteRefusal(name, "password", nowMs);
    return { kind: "refused" };
  }
  await accounts.forgetAttempts(name);
  const { digest, oneTimeUntilMs } = account.password;
  if (oneTimeUntilMs !== null && nowMs >= oneTimeUntilMs) return { kind: "one-time-over" };
  if (isOutdated(digest)) await keepPassword(accounts, account, password, oneTimeUntilMs);
  return { kind: "proven", account };
}

/** What came of the wish for another password. */
export type Choice = Proof | { readonly kind: "unfit"; readonly fault: PasswordFault | "same" | "not-twice" };

/** Puts a password that a person has chosen in the place of the present one; all sessions of the person end. */
export async function choosePassword(
  by: Pick<SignedInBy, "accounts" | "now">,
  sent: { readonly name: string; readonly present: string; readonly chosen: string; readonly again: string },
): Promise<Choice> {
  const proof = await prove(by, sent.name, sent.present);
  if (proof.kind !== "proven") return proof;
  const { account } = proof;
  const fault =
    sent.chosen !== sent.again
      ? "not-twice"
      : sent.chosen === sent.present
        ? "same"
        : passwordFault(sent.chosen, [account.name, account.email ?? ""]);
  if (fault !== null) return { kind: "unfit", fault };
  await keepPassword(by.accounts, account, sent.chosen, null);
  return proof;
}

/** @returns What the browser is to hold; no session that it had goes on. */
export async function beginSession(
  { accounts, now }: Pick<SignedInBy, "accounts" | "now">,
  accountId: number,
): Promise<string> {
  const secret = newSecret();
  const begunAtMs = now();
  await accounts.beginSession({
    digest: digestOf(secret),
    accountId,
    begunAtMs,
    lastUsedAtMs: begunAtMs,
    endsAtMs: begunAtMs + LONGEST_SESSION_MS,
  });
  return secret;
}

async function keepPassword(
  accounts: Accounts,
  { id, name }: Account,
  password: string,
  oneTimeUntilMs: number | null,
): Promise<void> {
  const digest = await digestPassword(password);
  // On the trail it is the person's own doing, although nobody is signed in yet.
  await byHand({ who: name, way: "page" }, () =>
    accounts.change(id, { password: { digest, oneTimeUntilMs } }),
  );
}
