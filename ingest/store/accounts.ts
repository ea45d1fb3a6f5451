/** Who may sign in, and what stands for them after that. Passwords and tokens are known by their digests only. */

/** One person's account. */
export interface Account {
  readonly id: number;
  /** As it stands in notes, decisions and the trail; no two are alike but for capitals. */
  readonly name: string;
  /** In small letters; no two are alike. */
  readonly email: string | null;
  readonly role: string;
  /** The sites that the person sees; null: all of them. */
  readonly sites: readonly string[] | null;
  /** null: signs in by the company's sign-in only. */
  readonly password: KeptPassword | null;
  /** Who the person is to the company's sign-in; null until the first time. */
  readonly subject: CompanySubject | null;
  /** null: may sign in. */
  readonly disabledAtMs: number | null;
  readonly madeAtMs: number;
}

export interface KeptPassword {
  /** A memory-hard digest with its parameters and salt, in one line of text. */
  readonly digest: string;
  /** Until when a one-time password lets its person choose another; null for one that the person has chosen. */
  readonly oneTimeUntilMs: number | null;
}

/** A person as the provider of the company's sign-in knows them. */
export interface CompanySubject {
  readonly issuer: string;
  readonly subject: string;
}

/** What of an account can be changed. */
export type AccountChange = Partial<
  Pick<Account, "email" | "role" | "sites" | "password" | "subject" | "disabledAtMs">
>;

/** One browser in which a person is signed in. */
export interface Session {
  /** SHA-256 of what the browser holds, as hexadecimal text. */
  readonly digest: string;
  readonly accountId: number;
  readonly begunAtMs: number;
  readonly lastUsedAtMs: number;
  /** It ends then, however much it is used. */
  readonly endsAtMs: number;
}

/** What lets a program ask in a person's name. */
export interface ApiToken {
  readonly id: number;
  /** SHA-256 of what the program holds, as hexadecimal text. */
  readonly digest: string;
  readonly accountId: number;
  /** What it is for, in its person's words. */
  readonly label: string;
  /** What it may do: as much as somebody of this role. */
  readonly role: string;
  readonly sites: readonly string[] | null;
  readonly madeAtMs: number;
  readonly endsAtMs: number;
  readonly revokedAtMs: number | null;
}

/** The accounts of a store. None of it is data of the fleet: the store's revision stays as it is. */
export interface Accounts {
  /** By name. */
  list(): Promise<readonly Account[]>;
  find(id: number): Promise<Account | null>;
  /** Whatever the capitals. */
  findByName(name: string): Promise<Account | null>;
  findByEmail(email: string): Promise<Account | null>;
  findBySubject(subject: CompanySubject): Promise<Account | null>;
  /**
   * @returns Its number.
   * @throws {IngestError} "name-taken" where another account has the name or the e-mail address.
   */
  add(account: Omit<Account, "id">): Promise<number>;
  /**
   * Changes an account. Another password, and disabling, end all sessions of its person.
   *
   * @throws {IngestError} "name-taken" where another account has the e-mail address.
   */
  change(id: number, change: AccountChange): Promise<void>;

  /**
   * Counts one attempt to sign in under a name, before its password is looked at, so that attempts made at the same
   * time are counted too.
   *
   * @param name Whether anybody has it or not. Only a digest of it is kept: it may be a password in the wrong field.
   * @param lockedUntilMs Says until when a name is locked after so many attempts in a row.
   * @returns null where the attempt may go on; else until when the name is locked.
   */
  countAttempt(
    name: string,
    atMs: number,
    lockedUntilMs: (attempts: number) => number,
  ): Promise<number | null>;
  /**
   * Puts an attempt that was refused on the trail.
   *
   * @param name As it was typed; where nobody has it, it is not written down.
   */
  noteRefusal(name: string | null, by: "password" | "company", atMs: number): Promise<void>;
  /** Forgets the attempts under a name. */
  forgetAttempts(name: string): Promise<void>;

  session(digest: string): Promise<{ readonly session: Session; readonly account: Account } | null>;
  /** Also removes sessions that have ended by then. */
  beginSession(session: Session): Promise<void>;
  useSession(digest: string, atMs: number): Promise<void>;
  endSession(digest: string): Promise<void>;

  token(digest: string): Promise<{ readonly token: ApiToken; readonly account: Account } | null>;
  /** The latest first. */
  tokensOf(accountId: number): Promise<readonly ApiToken[]>;
  /** @returns Its number, by which it is revoked. */
  addToken(token: Omit<ApiToken, "id">): Promise<number>;
  revokeToken(id: number, atMs: number): Promise<void>;
}
