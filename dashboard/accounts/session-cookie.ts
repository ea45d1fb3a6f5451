import type { IncomingMessage } from "node:http";
import type { CookieOptions } from "express";

/**
 * Name of the cookie that holds a session's secret.
 *
 * @param secure Whether browsers reach this server by HTTPS. Then the name has the prefix `__Host-`: browsers take such
 *   a cookie from this very host only, and by HTTPS only (RFC 6265bis, 4.1.3.2).
 */
export function sessionCookie(secure: boolean): string {
  return secure ? "__Host-springtide" : "springtide";
}

/** Name of the cookie that a browser holds on the way to the company's sign-in and back. */
export function wayCookie(secure: boolean): string {
  return `${sessionCookie(secure)}-on-the-way`;
}

/** Lax: a link from elsewhere, and the way back from the company's sign-in, find their reader signed in. */
export function cookieOptions(secure: boolean): CookieOptions {
  return { httpOnly: true, sameSite: "lax", path: "/", secure };
}

/** The value of a request's cookie; null where it has none of this name, or more than one. */
export function cookieOf(request: Pick<IncomingMessage, "headers">, name: string): string | null {
  const values = (request.headers.cookie ?? "")
    .split(";")
    .map((pair) => pair.trim())
    .filter((pair) => pair.startsWith(`${name}=`))
    .map((pair) => pair.slice(name.length + 1));
  return values.length === 1 ? values[0]! : null;
}
