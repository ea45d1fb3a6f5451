import type { Action } from "./roles.ts";

/**
 * Every address that the dashboard answers, and what one must be allowed to do there: the single list. A request that
 * is not in it is not answered, whatever routes there are.
 *
 * `open`: for everybody. `:name` stands for any one part of an address.
 */
const DOORS: Readonly<Record<Action | "open", readonly string[]>> = {
  open: [
    "GET /health",
    "GET /ready",
    "GET /assets/:name",
    "GET /sign-in",
    "POST /sign-in",
    "GET /sign-in/password",
    "POST /sign-in/password",
    "GET /sign-in/company",
    "GET /sign-in/company/back",
    "POST /sign-out",
  ],
  read: [
    "GET /",
    "GET /units",
    "GET /units/:instrument",
    "GET /units/:instrument/checks",
    "GET /units/:instrument/watch/:quantity",
    "GET /units/:instrument/charts/:chart",
    "GET /units/:instrument/notes/:number",
    "GET /side-by-side",
    "GET /worth-a-look",
    "GET /fluids",
    "GET /fluids/:lot",
    "GET /fluids/:lot/chart",
    "GET /returns",
    "GET /returns/calendar.ics",
    "GET /returns/packing",
    "GET /charts/fleet",
    "GET /charts/returns",
    "GET /findings",
    "GET /findings/:instrument/:day",
    "GET /intervals",
    "GET /record",
    "GET /intake",
    "GET /intake/held/:number",
    "GET /settings",
    "GET /how",
    "GET /find",
    "GET /events",
    "GET /notices",
    "POST /notices",
    "GET /notices/:number",
    "POST /notices/:number",
    "POST /notices/:number/end",
    "POST /notices/:number/trial",
    "GET /tokens",
    "POST /tokens",
    "POST /tokens/:number/revoke",
    "GET /api",
    "GET /api/openapi.json",
    "GET /api/units",
    "GET /api/units/:instrument",
    "GET /api/units/:instrument/checks",
    "GET /api/signals",
    "GET /api/fluids",
    "GET /api/fluids/:lot",
    "GET /api/bookings",
    "GET /api/record",
    "GET /api/sites",
    "GET /api/files",
    "GET /api/held",
    "GET /api/findings",
    "GET /api/findings/:instrument/:day",
    "GET /api/intervals",
    "GET /api/settings",
    "GET /metrics",
  ],
  "take-in": [
    "POST /intake",
    "POST /intake/held",
    "POST /intake/held/:number",
    "POST /api/intake",
    "POST /api/held/:number",
  ],
  plan: ["GET /returns/keep", "POST /returns/keep", "GET /returns/record", "POST /returns/record"],
  judge: [
    "GET /units/:instrument/notes",
    "POST /units/:instrument/notes",
    "POST /units/:instrument/notes/:number",
    "POST /api/units/:instrument/notes",
  ],
  govern: [
    "POST /settings",
    "POST /findings/:instrument/:day",
    "POST /api/settings",
    "POST /api/findings/:instrument/:day",
  ],
  administer: [
    "GET /people",
    "POST /people",
    "GET /people/:number",
    "POST /people/:number",
    "POST /people/:number/disable",
    "POST /people/:number/enable",
    "POST /people/:number/reset",
    "POST /people/:number/tokens/:token/revoke",
    "GET /trail",
    "POST /notices/unsent/:number/again",
  ],
};

/** What concerns all sites at once: only for those who see all of them. */
const OF_ALL_SITES = new Set(["GET /metrics", "POST /settings", "POST /api/settings", ...DOORS.administer]);

/** Every door with its action, for whoever goes through all of them. */
export const ALL_DOORS: readonly { readonly door: string; readonly action: Action | "open" }[] =
  Object.entries(DOORS).flatMap(([action, doors]) =>
    doors.map((door) => ({ door, action: action as Action | "open" })),
  );

const BY_LENGTH = Map.groupBy(
  ALL_DOORS.map(({ door, action }) => {
    const [method, path] = door.split(" ") as [string, string];
    return { method, path, parts: path.split("/"), action, ofAllSites: OF_ALL_SITES.has(door) };
  }),
  ({ parts }) => parts.length,
);

export interface Asked {
  readonly action: Action | "open";
  readonly ofAllSites: boolean;
}

/** What a request asks to do; null: there is no such door. A HEAD is a GET whose answer has no body. */
export function askedAt(method: string, path: string): Asked | null {
  return doorAt(method, path) ?? null;
}

/** A door as the list has it, without what varies in its address: for counts and logs. */
export function doorOf(method: string, path: string): string {
  return doorAt(method, path)?.path ?? "none";
}

/** The ways in which an address may be asked; none where there is no such door. */
export function methodsAt(path: string): string[] {
  return [...new Set(doorsAt(path).map(({ method }) => method))];
}

function doorAt(method: string, path: string) {
  const asked = method === "HEAD" ? "GET" : method;
  return doorsAt(path).find((door) => door.method === asked);
}

function doorsAt(path: string) {
  const parts = path.length > 1 ? path.replace(/\/$/, "").split("/") : ["", ""];
  const doors = BY_LENGTH.get(parts.length) ?? [];
  return doors.filter((door) =>
    door.parts.every((part, i) => part.startsWith(":") || part.toLowerCase() === parts[i]!.toLowerCase()),
  );
}
