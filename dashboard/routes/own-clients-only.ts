import type { RequestHandler } from "express";
import { HttpError } from "../errors.ts";

/**
 * Lets a request that changes something through only from this machine and from our own pages.
 *
 * @remarks
 * A page of another site may make a browser send requests here. Browsers say where such a request comes from
 * (Origin, Sec-Fetch-Site), and under which name they reached us (Host): a name that is none of this machine's stands
 * for a stranger's domain pointed at it. Programs on this machine say neither and may come in.
 */
export const ownClientsOnly: RequestHandler = (request, _response, next) => {
  const { origin, host = "" } = request.headers;
  const fetchSite = request.headers["sec-fetch-site"];
  if (!isLoopbackAddress(request.socket.remoteAddress ?? "")) {
    throw new HttpError(
      403,
      "Files and decisions are taken from this machine only.",
      "Open the page on the machine that serves it, or put files into a folder that springtide watch looks at.",
    );
  }
  const isOurs =
    isLoopbackName(hostName(host)) &&
    (fetchSite === undefined || fetchSite === "same-origin" || fetchSite === "none") &&
    // Pages that send no referrer have the forms on them send no origin either.
    (origin === undefined ||
      origin === `http://${host}` ||
      (origin === "null" && fetchSite === "same-origin"));
  if (!isOurs) {
    throw new HttpError(
      403,
      "This request comes from another site\u2019s page.",
      "Send files and decisions from this dashboard\u2019s own pages.",
    );
  }
  next();
};

function isLoopbackAddress(address: string): boolean {
  const plain = address.replace(/^::ffff:/, "");
  return plain === "::1" || plain.startsWith("127.");
}

function hostName(host: string): string {
  return host.replace(/:\d+$/, "");
}

function isLoopbackName(name: string): boolean {
  return name === "localhost" || name === "[::1]" || /^127\.\d{1,3}\.\d{1,3}\.\d{1,3}$/.test(name);
}
