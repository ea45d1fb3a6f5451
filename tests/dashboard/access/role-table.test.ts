import assert from "node:assert/strict";
import { afterAll, beforeAll, describe, it } from "vitest";
import { ACTIONS, type Action, ROLES, type Role } from "../../../dashboard/access/roles.ts";
import { type RunningDoor, runDoor } from "../accounts/running-door.ts";
import type { Answer, Visitor } from "../accounts/visitor.ts";
import { fixtureAssessment } from "../support/fixture-fleet.ts";

/** Of whom every cell of the table is asked for: somebody who sees this site only. */
const OWN = { site: "Ashmere", unit: "" };
const OTHER = { site: "Weir End", unit: "" };

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

/** One request of each kind about a unit, and whether it was done. */
const REQUESTS: Readonly<
  Record<Exclude<Action, "administer" | "plan">, (who: Visitor, at: typeof OWN) => Promise<Answer>>
> = {
  read: (who, { unit }) => who.get(`/units/${unit}`),
  "take-in": (who, { unit, site }) => send(who, `instrument,usage,site\n${unit},weekly,${site}\n`),
  judge: (who, { unit }) =>
    who.post(`/units/${unit}/notes`, { kind: "remark", on: "2026-03-30", why: "cleaned", by: "somebody" }),
  govern: (who, { unit }) =>
    who.post(`/findings/${unit}/2026-03-30`, { why: "seen", by: "somebody", decision: "" }),
};

describe("what a role lets people do", () => {
  for (const role of ROLES) {
    for (const action of ACTIONS.filter((one) => one !== "administer" && one !== "plan")) {
      const may = TABLE[action].includes(role);
      it(`${role}, ${action}: ${may ? "yes" : "no"}, at one's own site`, async () => {
        const answer = await REQUESTS[action](await door.signedIn(role), OWN);
        if (!may) return assert.equal(answer.status, 403, answer.body);
        // A unit that was not found out has no finding to decide on.
        const done = action === "govern" ? [404] : [200, 303];
        assert.ok(done.includes(answer.status), `${answer.status} ${answer.body.slice(0, 300)}`);
        if (action === "take-in") assert.equal(JSON.parse(answer.body).files[0].error, null);
      });

      it(`${role}, ${action}: no, at another site`, async () => {
        const before = await door.store.revision();
        const answer = await REQUESTS[action](await door.signedIn(role), OTHER);
        if (may && action === "take-in") {
          assert.match(JSON.parse(answer.body).files[0].error, /no unit of your sites/);
        } else {
          assert.equal(answer.status, may ? 404 : 403, answer.body);
        }
        assert.equal(await door.store.revision(), before);
      });
    }

    it(`${role}, administer: ${role === "administrator" ? "yes, who sees all sites" : "no"}`, async () => {
      const all = await (await door.signedIn(`${role} of all`)).get("/people");
      assert.equal(all.status, role === "administrator" ? 200 : 403);
      assert.equal((await (await door.signedIn(role)).get("/people")).status, 403);
    });

    it(`${role}, settings, which concern all sites: only who governs and sees all sites`, async () => {
      const sent = { changes: "{}", why: "a trial", by: "somebody" };
      const limited = await (await door.signedIn(role)).post("/settings", sent);
      assert.equal(limited.status, 403);
      const all = await (await door.signedIn(`${role} of all`)).post("/settings", sent);
      assert.equal(all.status === 403, !TABLE.govern.includes(role), all.body.slice(0, 300));
    });
  }

  it("is kept in the name of who is signed in, whatever a form says", async () => {
    const engineer = await door.signedIn("engineer");
    await REQUESTS.judge(engineer, OWN);
    const [latest] = await door.store.trail.list(
      { action: "noted" },
      { offset: 0, limit: 1, newestFirst: true },
    );
    assert.equal(latest!.who, "engineer");
    assert.equal(latest!.way, "page");
    assert.equal(JSON.parse(latest!.after!).by, "engineer");
  });
});
