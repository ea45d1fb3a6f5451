import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { afterAll, beforeAll, describe, it } from "vitest";
import { ALL_DOORS } from "../../../dashboard/access/doors.ts";
import { type Action, ROLES, type Role } from "../../../dashboard/access/roles.ts";
import { type RunningDoor, runDoor } from "../accounts/running-door.ts";
import type { Answer, Visitor } from "../accounts/visitor.ts";
import { fixtureAssessment } from "../support/fixture-fleet.ts";

/** Of whom every cell of the table is asked for: somebody who sees this site only. */
const OWN: Place = { site: "Ashmere", unit: "", finding: "V-0010/2026-03-27" };
const OTHER: Place = { site: "Weir End", unit: "", finding: "V-0029/2025-12-31" };

interface Place {
  readonly site: string;
  unit: string;
  readonly finding: string;
}

/** Doors to what belongs to all sites at once, besides those of administrators. */
const CONCERN_ALL = /^(POST \/(api\/)?settings|GET \/metrics|\w+ \/(people|notices\/unsent|trail))\b/;
const FORM = { "content-type": "application/x-www-form-urlencoded" };

/** Who may do what, written out once more: the program has its own. */
const TABLE: Readonly<Record<Action, readonly Role[]>> = {
  read: ["reader", "checker", "planner", "engineer", "manager", "administrator"],
  "take-in": ["checker", "engineer", "manager", "administrator"],
  plan: ["planner", "manager", "administrator"],
  judge: ["engineer", "manager", "administrator"],
  govern: ["manager", "administrator"],
  administer: ["administrator"],
};

let door: RunningDoor;
beforeAll(async () => {
  const assessment = fixtureAssessment(40);
  door = await runDoor({}, assessment);
  const { instruments } = await assessment.current();
  const rows = [...instruments.values()].map(({ instrument, site }) => `${instrument},daily,${site}\n`);
  for (const place of [OWN, OTHER]) {
    place.unit = [...instruments.values()].find(({ site }) => site === place.site)!.instrument;
  }
  await door.add("Root", { role: "administrator" });
  const root = await door.signedIn("Root");
  const sent = await send(root, `instrument,usage,site\n${rows.join("")}`);
  assert.equal(JSON.parse(sent.body).totals.accepted, rows.length);
  for (const role of ROLES) {
    await door.add(role, { role, sites: [OWN.site] });
    await door.add(`${role} of all`, { role });
  }
});
afterAll(() => door.stop());

function send(visitor: Visitor, csv: string): Promise<Answer> {
  return visitor.send("POST", "/api/intake?name=units.csv", csv, { "content-type": "text/csv" });
}

type Cell = "done" | "hidden" | "refused" | "forbidden";

/** One request of each kind about what is at a place, and what came of it. */
const REQUESTS: Readonly<Record<string, (who: Visitor, at: Place) => Promise<Answer>>> = {
  read: (who, { unit }) => who.get(`/units/${unit}`),
  "take-in": (who, { unit, site }) => send(who, `instrument,usage,site\n${unit},weekly,${site}\n`),
  plan: (who, { unit }) =>
    who.post("/returns/keep", { fix: `${unit}@2026-W20`, why: "agreed", by: "somebody" }),
  judge: (who, { unit }) =>
    who.post(`/units/${unit}/notes`, { kind: "remark", on: "2026-03-30", why: "cleaned", by: "somebody" }),
  govern: (who, { finding }) =>
    who.post(`/findings/${finding}`, { why: "seen", by: "somebody", decision: "" }),
  settings: (who) => who.post("/settings", { changes: "none", why: "a trial", by: "somebody" }),
  administer: (who) => who.get("/people"),
};

/** What is asked for by each of {@link REQUESTS}. */
const ACTION_OF: Readonly<Record<string, Action>> = { settings: "govern" };

/** Settings and people belong to all sites. */
const OF_ALL = new Set(["settings", "administer"]);

/** What is to come of it: for somebody limited to a site at it, and at another; for somebody who sees all. */
function expected(request: string, role: Role): readonly [Cell, Cell, Cell] {
  if (!TABLE[ACTION_OF[request] ?? (request as Action)].includes(role)) {
    return ["forbidden", "forbidden", "forbidden"];
  }
  if (OF_ALL.has(request)) return ["forbidden", "forbidden", "done"];
  return ["done", request === "take-in" ? "refused" : "hidden", "done"];
}

function cellOf(request: string, { status, body }: Answer): Cell | string {
  if (status === 403) return "forbidden";
  if (status === 404) return "hidden";
  if (request === "take-in") return JSON.parse(body).files[0].error === null ? "done" : "refused";
  // The form was filled in before another change: it was looked at, which is what is asked here.
  if (request === "settings" && status === 409) return "done";
  return status === 200 || status === 303 ? "done" : `${status}`;
}

describe("what a role lets people do", () => {
  for (const role of ROLES) {
    it(`${role}: at one's own site, at another one, and as somebody who sees all`, {
      timeout: 30_000,
    }, async () => {
      const [limited, all] = [await door.signedIn(role), await door.signedIn(`${role} of all`)];
      for (const [request, ask] of Object.entries(REQUESTS)) {
        const own = cellOf(request, await ask(limited, OWN));
        const before = await door.store.revision();
        const other = cellOf(request, await ask(limited, OTHER));
        if (other !== "done") assert.equal(await door.store.revision(), before, request);
        const ofAll = cellOf(request, await ask(all, OTHER));
        assert.deepEqual([own, other, ofAll], expected(request, role), request);
      }
    });

    it(`${role}: comes through each door that is theirs, and through no other`, {
      timeout: 60_000,
    }, async () => {
      const [limited, all] = [await door.signedIn(role), await door.signedIn(`${role} of all`)];
      for (const { door: address, action } of ALL_DOORS) {
        if (action === "open" || address === "GET /events") continue;
        const [method, path] = address.split(" ") as [string, string];
        const ask = (who: Visitor) =>
          who.send(method, path.replaceAll(/:\w+/g, "none"), method === "GET" ? null : "", FORM);
        const may = TABLE[action].includes(role);
        const [byLimited, byAll] = [await ask(limited), await ask(all)];
        assert.equal(byAll.status === 403, !may, `${address}: ${byAll.status}`);
        const mayLimited = may && action !== "administer" && !CONCERN_ALL.test(address);
        assert.equal(byLimited.status === 403, !mayLimited, `${address}: ${byLimited.status}`);
        if (!may) assert.match(byAll.body, /It is for: /, address);
      }
    });
  }

  it("is written down for readers as it is", () => {
    const documented = readFileSync(new URL("../../../DEVELOPERS.md", import.meta.url), "utf8");
    assert.ok(documented.includes(roleTable()), `DEVELOPERS.md has another table than\n${roleTable()}`);
  });

  it("is kept in the name of who is signed in, whatever a form says", async () => {
    const engineer = await door.signedIn("engineer");
    await REQUESTS.judge!(engineer, OWN);
    const [latest] = await door.store.trail.list(
      { action: "noted" },
      { offset: 0, limit: 1, newestFirst: true },
    );
    assert.equal(latest!.who, "engineer");
    assert.equal(latest!.way, "page");
    assert.equal(JSON.parse(latest!.after!).by, "engineer");
  });
});

/** As Markdown: what comes of one request of each kind by each role. */
function roleTable(): string {
  const what: Readonly<Record<string, string>> = {
    read: "read a unit's page",
    "take-in": "send a file",
    plan: "keep a week for a unit",
    judge: "write a note on a unit",
    govern: "decide a finding",
    settings: "set the rules",
    administer: "look after people",
  };
  const rows = Object.keys(REQUESTS).map((request) => {
    const cells = ROLES.map((role) => {
      const cell = expected(request, role);
      return cell.every((one) => one === "forbidden") ? "forbidden" : cell.join(", ");
    });
    return `| ${what[request]} | ${cells.join(" | ")} |`;
  });
  return [`| | ${ROLES.join(" | ")} |`, `|---|${"---|".repeat(ROLES.length)}`, ...rows].join("\n");
}
