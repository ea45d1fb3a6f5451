import { createTransport } from "nodemailer";
import { TROUBLE } from "../wording/notices.ts";
import { noticeHtml, noticePlain } from "./notice-page.ts";
import type { NoticeSettings } from "./notice-settings.ts";
import { type Outgoing, type Send, SendTrouble } from "./outgoing.ts";

/** A mail server that is slower than this is asked again later. Unit: ms. */
const ANSWER_MS = 15_000;
/** One message as a whole. Unit: ms. */
const LONGEST_MS = 45_000;

/** Sends notices by e-mail, each over a connection of its own. */
export function mailSender(
  { server, from }: NonNullable<NoticeSettings["mail"]>,
  publicAddress: string | null,
): Send {
  return async (message) => {
    const transport = createTransport({
      url: server,
      connectionTimeout: ANSWER_MS,
      greetingTimeout: ANSWER_MS,
      socketTimeout: ANSWER_MS,
      disableFileAccess: true,
      disableUrlAccess: true,
    });
    const deadline = Promise.withResolvers<never>();
    const timer = setTimeout(
      () => deadline.reject(new SendTrouble(TROUBLE.slow(LONGEST_MS / 1000))),
      LONGEST_MS,
    );
    try {
      await Promise.race([transport.sendMail(mailOf(message, from, publicAddress)), deadline.promise]);
    } catch (error) {
      throw plainTrouble(error);
    } finally {
      clearTimeout(timer);
      transport.close();
    }
  };
}

function mailOf({ messageId, name, address, content }: Outgoing, from: string, publicAddress: string | null) {
  const { subject, text } = noticePlain(content, publicAddress);
  return {
    from: { name: "Springtide", address: from },
    // As an object, so that nothing in either is read as a list of addresses.
    to: { name, address },
    subject,
    text,
    html: noticeHtml(content, publicAddress),
    messageId: `<${messageId}@${from.split("@").at(-1)}>`,
    headers: { "Auto-Submitted": "auto-generated" },
  };
}

/** In our own words: what a mail server says may name the person or the message. */
function plainTrouble(error: unknown): SendTrouble {
  if (error instanceof SendTrouble) return error;
  const { code, responseCode } = error as { code?: unknown; responseCode?: unknown };
  if (code === "EAUTH") return new SendTrouble(TROUBLE.signIn);
  if (typeof responseCode === "number") return new SendTrouble(TROUBLE.refused(responseCode));
  return new SendTrouble(TROUBLE.away(typeof code === "string" ? code : "no reason given"));
}
