/** Stands for our own address, whatever it is: addresses are only compared with it. */
const HERE = "http://here.invalid";

/**
 * Where a reader goes after signing in: the page that was asked for, if it is one of ours.
 *
 * @param asked As an address or a form says it; it may have been made to lead elsewhere.
 * @returns An address on this server that begins with one slash.
 */
export function nextPage(asked: unknown): string {
  if (typeof asked !== "string" || !asked.startsWith("/") || !URL.canParse(asked, HERE)) return "/";
  const { origin, pathname, search, hash } = new URL(asked, HERE);
  const isOurs =
    origin === HERE && !pathname.startsWith("//") && !/^\/(sign-in|sign-out)(\/|$)/.test(pathname);
  return isOurs ? `${pathname}${search}${hash}` : "/";
}
