import type { IncomingMessage } from "node:http";
import { HttpError } from "../errors.ts";

/**
 * Refuses requests that a page of another site made a browser send.
 *
 * @remarks
 * Browsers say where a request comes from (Origin, Sec-Fetch-Site), and under which name they reached us (Host): where
 * nobody signs in, a name that is none of this machine's stands for a stranger's domain pointed at it. Programs on this
 * machine say neither and may come in; a program with a token is known by that, and no browser sends one by itself.
 *
 * @param publicAddress Under which name browsers reach us; null: by the name that they give.
 * @param signIn Whether people sign in here.
 */
export function refuseStrangers(
  request: IncomingMessage,
  { publicAddress, signIn }: { readonly publicAddress: URL | null; readonly signIn: boolean },
): void {
  const { host = "" } = request.headers;
  if (!signIn && !(isLoopbackAddress(request.socket.remoteAddress ?? "") && isLoopbackName(host))) {
    throw new HttpError(
      403,
      "This dashboard answers on its own machine only.",
      "Open it as 127.0.0.1 there, or have it served with sign-in.",
    );
  }
  const isChange = request.method !== "GET" && request.method !== "HEAD";
  const hasToken = signIn && request.headers.authorization !== undefined;
  if (isChange && !hasToken && !comesFromOurPages(request, publicAddress, signIn)) {
    throw new HttpError(
      403,
      "This request comes from another site\u2019s page.",
      "Send files and decisions from this dashboard\u2019s own pages.",
    );
  }
}

function comesFromOurPages(request: IncomingMessage, publicAddress: URL | null, signIn: boolean): boolean {
  const { origin, host = "" } = request.headers;
  const fetchSite = request.headers["sec-fetch-site"];
  if (fetchSite !== undefined && fetchSite !== "same-origin" && fetchSite !== "none") return false;
  // Where cookies let people in, a browser too old to say where a request comes from is asked for more than nothing.
  if (origin === undefined) return !signIn || fetchSite !== undefined || request.headers.cookie === undefined;
  // Pages that send no referrer have the forms on them send no origin either.
  if (origin === "null") return fetchSite === "same-origin";
  return origin === (publicAddress?.origin ?? `http://${host}`);
}

function isLoopbackAddress(address: string): boolean {
  const plain = address.replace(/^::ffff:/, "");
  return plain === "::1" || plain.startsWith("127.");
}

function isLoopbackName(host: string): boolean {
  const name = host.replace(/:\d+$/, "");
  return name === "localhost" || name === "[::1]" || /^127\.\d{1,3}\.\d{1,3}\.\d{1,3}$/.test(name);
}
