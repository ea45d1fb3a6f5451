import type { Delivery, Subscription } from "../../ingest/index.ts";
import type { NoticeFault } from "../page-models/notices.ts";
import { sitesText } from "./accounts.ts";
import { date } from "./dates.ts";
import { counted } from "./numbers.ts";

/** Sentences of the page on which people choose what they are told of. */

export const WEEKDAYS = [
  "Monday",
  "Tuesday",
  "Wednesday",
  "Thursday",
  "Friday",
  "Saturday",
  "Sunday",
] as const;

export function noticesHeadline(ways: number, signedIn: boolean): string {
  if (!signedIn)
    return ways === 0 ? "Nobody is told of anything" : `Notices go out in ${counted(ways, "way")}`;
  return ways === 0 ? "You are told of nothing" : `You are told in ${counted(ways, "way")}`;
}

export const NOTICES_FOLLOW =
  "At once: a unit turned to heading out or out now, or a fluid lot to doubtful or unsound; the same of one unit once in two weeks. " +
  "Weekly: what turned, what is at risk, what is due back and what was held back, site by site. E-mail leaves once a mail server is named where Springtide runs (SPRINGTIDE_SMTP).";

export const WEBHOOK_ABOUT =
  "For a webhook: where it is posted to, https://\u2026; addresses in networks of one\u2019s own only where the server allows them.";

export const SECRET_ABOUT =
  "Each call is signed with it. It is shown this once; keep it where the calls are checked. Lost, end this way and choose it anew.";

export function noticeFaultText(fault: NoticeFault): string {
  switch (fault) {
    case "way":
      return "Choose e-mail or webhook.";
    case "name":
      return "Say who is told, in at most 100 characters.";
    case "email":
      return "This is no e-mail address; write it like r.planner@lab.example.";
    case "no-email":
      return "Your account has no e-mail address: an administrator can give it one.";
    case "webhook":
      return "This is no web address to post to; write it like https://tickets.lab.example/springtide.";
    case "sites":
      return "Choose sites that you see yourself, or all of them.";
    case "nothing":
      return "Choose to be told at once, weekly, or both.";
    case "time":
      return "Choose a weekday, an hour from 0 to 23 and a time zone like Europe/Berlin.";
  }
}

/** "webhook to tickets.lab.example, all sites: at once, and each Monday at 7:00 (Europe/Berlin)". */
export function wayText({ way, address, sites, atOnce, digest, timeZone }: Subscription): string {
  const to =
    address === null
      ? "to your account\u2019s address"
      : `to ${way === "webhook" ? new URL(address).host : address}`;
  const when = [
    ...(atOnce ? ["at once"] : []),
    ...(digest === null ? [] : [`each ${WEEKDAYS[digest.weekday - 1]} at ${digest.hour}:00 (${timeZone})`]),
  ];
  return `${way === "email" ? "E-mail" : "Webhook"} ${to}, ${sitesText(sites)}: ${when.join(", and ")}`;
}

export function deliveryText({ state, madeAtMs, settledAtMs, tries, trouble }: Delivery): string {
  const made = date(madeAtMs / 86_400_000);
  const why = trouble === null ? "" : `: ${trouble}`;
  switch (state) {
    case "sent":
      return `sent ${date((settledAtMs ?? madeAtMs) / 86_400_000)}`;
    case "waiting":
      return `waits since ${made}${tries > 0 ? `, tried ${counted(tries, "time")}` : ""}${why}`;
    case "failed":
      return `not sent, of ${made}${why}`;
    case "dropped":
      return `left unsent, of ${made}${why}`;
  }
}
