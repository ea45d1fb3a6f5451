import type { NoticeContent } from "./content.ts";

/** One message on its way to one person. */
export interface Outgoing {
  /** The same with every try. */
  readonly messageId: string;
  readonly name: string;
  readonly address: string;
  /** What a webhook is signed with. */
  readonly secret: string | null;
  readonly content: NoticeContent;
}

/** Sends one message. @throws {SendTrouble} where it may not have arrived. */
export type Send = (message: Outgoing) => Promise<void>;

/** Why a message was not sent, in words that hold nothing of the message, its person or a password. */
export class SendTrouble extends Error {}
