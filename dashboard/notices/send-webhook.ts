import { createHmac, randomBytes } from "node:crypto";
import { lookup } from "node:dns";
import { request as requestHttp } from "node:http";
import { request as requestHttps } from "node:https";
import { isIP, type LookupFunction } from "node:net";
import { TROUBLE } from "../wording/notices.ts";
import { isPublic, isWebhookAddress } from "./addresses.ts";
import { type Send, SendTrouble } from "./outgoing.ts";

/** From the name's look-up to the last header of the answer. Unit: ms. */
const LONGEST_MS = 10_000;

/**
 * Posts notices to web addresses as JSON, signed as Standard Webhooks (an open specification, standardwebhooks.com) has
 * it, under names of our own: `springtide-id`, `springtide-timestamp` (s since 1970 UTC) and `springtide-signature`,
 * "v1," and the Base64 HMAC-SHA256 of "ID.TIMESTAMP.BODY".
 *
 * @param inside Whether addresses on this machine and in private networks are allowed.
 * @param longestMs A slower address is asked again later.
 */
export function webhookSender(inside: boolean, now: () => number, longestMs = LONGEST_MS): Send {
  return async ({ messageId, address, secret, content }) => {
    if (!isWebhookAddress(address, inside)) throw new SendTrouble(TROUBLE.inside);
    const body = JSON.stringify({ id: messageId, ...content });
    const timestamp = String(Math.floor(now() / 1000));
    const status = await post(
      new URL(address),
      body,
      { inside, longestMs },
      {
        "content-type": "application/json; charset=utf-8",
        "springtide-id": messageId,
        "springtide-timestamp": timestamp,
        "springtide-signature": signature(secret ?? "", messageId, timestamp, body),
      },
    );
    if (status >= 300 && status < 400) throw new SendTrouble(TROUBLE.redirected(status));
    if (status < 200 || status >= 300) throw new SendTrouble(TROUBLE.answered(status));
  };
}

/** A secret to sign with: 256 random bits in Base64. */
export function newSecret(): string {
  return randomBytes(32).toString("base64");
}

export function signature(secret: string, id: string, timestamp: string, body: string): string {
  const digest = createHmac("sha256", Buffer.from(secret, "base64"))
    .update(`${id}.${timestamp}.${body}`)
    .digest("base64");
  return `v1,${digest}`;
}

/** @returns The status of the answer, whose body is not read. */
function post(
  url: URL,
  body: string,
  { inside, longestMs }: { readonly inside: boolean; readonly longestMs: number },
  headers: Readonly<Record<string, string>>,
): Promise<number> {
  const send = url.protocol === "https:" ? requestHttps : requestHttp;
  return new Promise((resolve, reject) => {
    const signal = AbortSignal.timeout(longestMs);
    const call = send(url, {
      method: "POST",
      headers: { ...headers, "content-length": Buffer.byteLength(body), connection: "close" },
      agent: false,
      signal,
      ...(!inside && isIP(url.hostname) === 0 && { lookup: publicLookup }),
    });
    call.on("response", (response) => {
      resolve(response.statusCode ?? 0);
      response.destroy();
    });
    call.on("error", (error: NodeJS.ErrnoException) =>
      reject(
        error instanceof SendTrouble
          ? error
          : new SendTrouble(
              signal.aborted ? TROUBLE.slow(longestMs / 1000) : TROUBLE.away(error.code ?? "no reason given"),
            ),
      ),
    );
    call.end(body);
  });
}

/** Looks a name up and gives only public addresses to connect to: what was looked at is what is called. */
const publicLookup: LookupFunction = (hostname, options, done) => {
  lookup(hostname, { ...options, all: true }, (error, found) => {
    const [first] = error === null ? found.filter(({ address }) => isPublic(address)) : [];
    if (error !== null) done(error, "", 0);
    else if (first === undefined || !found.every(({ address }) => isPublic(address)))
      done(new SendTrouble(TROUBLE.inside), "", 0);
    else if (options.all === true) done(null, found);
    else done(null, first.address, first.family);
  });
};
