/**
 * Who is told of what, what was known when somebody was told last, and what waits to be sent.
 *
 * What turned and what is to be sent about it are written in one transaction; each message is once for each
 * subscription, whatever number of processes look and send.
 */

export const NOTICE_WAYS = ["email", "webhook"] as const;
export type NoticeWay = (typeof NOTICE_WAYS)[number];

export const NOTICE_SUBJECTS = ["unit", "lot"] as const;
export type NoticeSubject = (typeof NOTICE_SUBJECTS)[number];

/** dropped: not to be sent any more, as its person no longer asks for it or no longer sees the site. */
export const DELIVERY_STATES = ["waiting", "sent", "failed", "dropped"] as const;
export type DeliveryState = (typeof DELIVERY_STATES)[number];

export const DELIVERY_KINDS = ["turned", "digest", "trial"] as const;
export type DeliveryKind = (typeof DELIVERY_KINDS)[number];

/** What a person chose for one way of being told. */
export interface NoticeChoice {
  /** null: of all sites that the person sees. */
  readonly sites: readonly string[] | null;
  /** Whether told as soon as a unit or a lot turns. */
  readonly atOnce: boolean;
  /** When the weekly digest goes out, on the clock of `timeZone`; null: never. */
  readonly digest: { readonly weekday: number; readonly hour: number } | null;
  /** IANA name like "Europe/Berlin". */
  readonly timeZone: string;
}

/** One way in which one person is told. */
export interface Subscription extends NoticeChoice {
  readonly id: number;
  /** null: of somebody without an account, where nobody is asked to sign in. */
  readonly accountId: number | null;
  readonly name: string;
  readonly way: NoticeWay;
  /** An e-mail address or a web address; null: the e-mail address of the account. */
  readonly address: string | null;
  /** What a webhook is signed with; null for e-mail. */
  readonly secret: string | null;
  /** When it was chosen or changed last. */
  readonly chosenAtMs: number;
  readonly endedAtMs: number | null;
}

/** How a unit or a lot stood when it was last looked at. */
export interface KnownState {
  readonly subject: NoticeSubject;
  readonly name: string;
  readonly state: string;
}

/** A unit or a lot that turned. */
export interface NoticeEvent extends KnownState {
  readonly id: number;
  /** null: it was not known before. */
  readonly before: string | null;
  /** Sites that it belongs to. */
  readonly sites: readonly string[];
  readonly happenedAtMs: number;
  readonly asOf: string;
  /** false: told of in the digest alone. */
  readonly atOnce: boolean;
}

/** The last look at the fleet that was held against the one before. */
export interface NoticeLook {
  /** Grows by one with every look; whoever writes the next one names the one it follows. */
  readonly serial: number;
  readonly revision: number;
  readonly asOf: string;
}

export interface KnownNow {
  /** null: nobody has looked yet. */
  readonly look: NoticeLook | null;
  readonly states: readonly KnownState[];
}

/** A message that is to be sent. */
export interface NewDelivery {
  readonly subscriptionId: number;
  /** What it is about: once for each subscription. */
  readonly eventKey: string;
  readonly kind: DeliveryKind;
  /** Goes with every try, so that whoever gets it twice can tell. */
  readonly messageId: string;
  /** What it says, as JSON. */
  readonly content: string;
  /** The sites that it speaks of; null: it is for those alone who see all sites. */
  readonly aboutSites: readonly string[] | null;
  readonly madeAtMs: number;
}

export interface Delivery extends NewDelivery {
  readonly id: number;
  readonly state: DeliveryState;
  readonly tries: number;
  readonly dueAtMs: number;
  readonly settledAtMs: number | null;
  /** What stood in the way at the last try. */
  readonly trouble: string | null;
}

/** What one look found, to be kept if no other look came between. */
export interface LookFound {
  /** The look that it was held against; null: it is the first. */
  readonly after: NoticeLook | null;
  readonly revision: number;
  readonly asOf: string;
  /** Only those that changed. */
  readonly states: readonly KnownState[];
  readonly events: readonly Omit<NoticeEvent, "id">[];
  readonly deliveries: readonly NewDelivery[];
}

/** Which process sends, and on what terms. Unit of times: ms. */
export interface Claim {
  readonly by: string;
  readonly ways: readonly NoticeWay[];
  readonly nowMs: number;
  /** What is not settled by then may be taken by another. */
  readonly untilMs: number;
  /** A due time or a claim further ahead than this comes from a clock that was wrong, and does not count. */
  readonly furthestMs: number;
}

export type Settled =
  | { readonly state: "sent" | "dropped" | "failed"; readonly atMs: number; readonly trouble: string | null }
  | { readonly state: "waiting"; readonly dueAtMs: number; readonly trouble: string };

/** The notices of a store. None of it is data of the fleet: the store's revision stays as it is. */
export interface NoticeOutbox {
  /** Those that have not ended, by name. */
  subscriptions(): Promise<readonly Subscription[]>;
  subscription(id: number): Promise<Subscription | null>;
  /**
   * @remarks Where nobody was told of anything before, the next look is a first one: what turned meanwhile is not news.
   * @returns Its number.
   */
  subscribe(subscription: Omit<Subscription, "id" | "endedAtMs">): Promise<number>;
  changeChoice(id: number, choice: NoticeChoice, atMs: number): Promise<void>;
  /** Ends it; what still waits for it is not sent. */
  unsubscribe(id: number, atMs: number): Promise<void>;

  known(): Promise<KnownNow>;
  /** @returns false where another look came between: nothing is kept then. */
  keepLook(found: LookFound): Promise<boolean>;
  /** Oldest first. */
  eventsSince(atMs: number): Promise<readonly NoticeEvent[]>;
  /** The sites where units are registered that were checked with a lot. */
  sitesOfLot(fluidLot: string): Promise<readonly string[]>;

  /** Puts messages in line; one that a subscription has already, by its key, is left as it is. */
  enqueue(deliveries: readonly NewDelivery[]): Promise<void>;
  /** When the last digest of a subscription was made; null: none was. */
  lastDigestAtMs(subscriptionId: number): Promise<number | null>;
  /** Whether a claim would find anything; looks without writing. */
  hasDue(claim: Claim): Promise<boolean>;
  /** Takes the next message that is due, for one process alone; counts the try. */
  claim(claim: Claim): Promise<Delivery | null>;
  /** @returns false where the claim had run out and another process has taken it. */
  settle(id: number, by: string, settled: Settled): Promise<boolean>;
  /** The latest first. */
  deliveries(filter: {
    readonly state?: DeliveryState;
    readonly subscriptionId?: number;
    readonly limit: number;
  }): Promise<readonly Delivery[]>;
  /** Puts a message that failed in line again. */
  tryAgain(id: number, atMs: number): Promise<void>;
}
