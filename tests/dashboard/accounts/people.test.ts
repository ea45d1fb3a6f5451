import assert from "node:assert/strict";
import { afterAll, beforeAll, describe, it } from "vitest";
import { PASSWORD, type RunningDoor, runDoor } from "./running-door.ts";
import type { Visitor } from "./visitor.ts";

let door: RunningDoor;
let admin: Visitor;
beforeAll(async () => {
  door = await runDoor();
  await door.add("Admina", { role: "administrator" });
  admin = await door.signedIn("Admina");
});
afterAll(() => door.stop());

const shown = (body: string) => /<code>([a-z2-9-]{19})<\/code>/.exec(body)?.[1] ?? null;

describe("the page of the people", () => {
  it("adds somebody with a one-time password, shown once, with which another is chosen", async () => {
    const added = await admin.post("/people", {
      name: "Newa Person",
      email: "newa@lab.example",
      role: "checker",
      site: ["North", "South"],
    });
    assert.equal(added.status, 200);
    assert.equal(added.headers["cache-control"], "no-store");
    const password = shown(added.body)!;
    const list = await admin.get("/people");
    assert.match(list.body, /2 people may sign in\./);
    assert.match(
      list.body,
      /Newa Person[\s\S]*checker[\s\S]*North and South[\s\S]*newa@lab\.example[\s\S]*one-time password/,
    );
    assert.doesNotMatch(list.body, new RegExp(password));

    const newa = door.visitor();
    const first = await newa.post("/sign-in", { name: "Newa Person", password, next: "/units" });
    assert.deepEqual([first.status, first.headers.location], [303, "/sign-in/password"]);
    assert.notEqual((await newa.get("/tokens")).status, 200);
    const chosen = "granite tide piano";
    const sent = { name: "Newa Person", password, chosen, again: chosen };
    assert.equal(
      (await newa.post("/sign-in/password", { ...sent, chosen: password, again: password })).status,
      422,
    );
    assert.equal((await newa.post("/sign-in/password", sent)).status, 303);
    assert.equal((await newa.get("/tokens")).status, 200);
    // The one-time password was for once.
    assert.equal((await door.visitor().post("/sign-in/password", sent)).status, 403);
  });

  it("says what stands against somebody as they were typed, and keeps nothing", async () => {
    const before = (await door.store.accounts.list()).length;
    const good = { name: "Wanted", email: "", role: "reader", all: "yes" };
    for (const [wrong, words] of [
      [{ name: "" }, /name has 1 to 100 characters/],
      [{ name: "a\u0007b" }, /name has 1 to 100 characters/],
      [{ name: "admina" }, /There is an account for admina already/],
      [{ email: "no address" }, /is no e-mail address/],
      [{ email: "newa@LAB.example" }, /is that of Newa Person already/],
      [{ role: "" }, /Choose a role/],
      [{ role: "emperor" }, /Choose a role/],
      [{ all: [] }, /Choose the sites/],
      [{ name: "<script>alert(1)</script>", role: "" }, /&lt;script(>|&gt;)/],
    ] as const) {
      const answer = await admin.post("/people", { ...good, ...wrong });
      assert.equal(answer.status, 422, JSON.stringify(wrong));
      assert.match(answer.body, words);
      assert.doesNotMatch(answer.body, /<script>alert/);
    }
    assert.equal((await door.store.accounts.list()).length, before);
  });

  it("changes role, sites and address at once, also for whoever is signed in", async () => {
    const id = await door.add("Moved", { role: "manager" });
    const moved = await door.signedIn("Moved");
    assert.match((await moved.get("/tokens")).body, /as a manager/);
    const answer = await admin.post(`/people/${id}`, {
      role: "reader",
      site: "North",
      email: "m@lab.example",
    });
    assert.equal(answer.status, 303);
    assert.match((await admin.get(`/people/${id}`)).body, /<h1>Moved: reader, North<\/h1>/);
    assert.doesNotMatch((await moved.get("/tokens")).body, /as a manager/);
    assert.equal((await admin.post(`/people/${id}`, { role: "reader" })).status, 422);
  });

  it("forgets to whom the company's sign-in was matched when the address is another's", async () => {
    const id = await door.add("Matched", { email: "matched@lab.example" });
    const subject = { issuer: "https://company.example", subject: "7" };
    await door.store.accounts.change(id, { subject });
    const same = { role: "reader", all: "yes", email: "Matched@lab.example" };
    await admin.post(`/people/${id}`, same);
    assert.deepEqual((await door.store.accounts.find(id))?.subject, subject);
    await admin.post(`/people/${id}`, { ...same, email: "other@lab.example" });
    assert.equal((await door.store.accounts.find(id))?.subject, null);
  });

  it("disables and lets in again", async () => {
    const id = await door.add("Gone");
    const gone = await door.signedIn("Gone");
    assert.equal((await admin.post(`/people/${id}/disable`)).status, 303);
    assert.notEqual((await gone.get("/tokens")).status, 200);
    assert.match((await admin.get(`/people/${id}`)).body, /Signs in: no longer, since 1 Apr 2026/);
    await admin.post(`/people/${id}/enable`);
    assert.notEqual((await gone.get("/tokens")).status, 200);
    assert.equal((await (await door.signedIn("Gone")).get("/tokens")).status, 200);
  });

  it("resets a password: sessions end, a lock is lifted, and a week later it is over", async () => {
    const id = await door.add("Forgetful");
    const forgetful = await door.signedIn("Forgetful");
    for (let i = 0; i < 6; i++) await door.visitor().post("/sign-in", { name: "Forgetful", password: "?" });
    const password = shown((await admin.post(`/people/${id}/reset`)).body)!;
    assert.notEqual((await forgetful.get("/tokens")).status, 200);
    const sent = { name: "Forgetful", password };
    assert.equal((await door.visitor().post("/sign-in", { ...sent, password: PASSWORD })).status, 403);
    assert.equal((await door.visitor().post("/sign-in", sent)).headers.location, "/sign-in/password");
    door.clock.nowMs += 7 * 86_400_000;
    const late = await door.visitor().post("/sign-in", sent);
    assert.equal(late.status, 403);
    assert.match(late.body, /was to be used within a week/);
    admin = await door.signedIn("Admina");
  });

  it("revokes a person's tokens, and by that person's number only", async () => {
    const [id, other] = [await door.add("Leaky"), await door.add("Innocent")];
    const leaky = await door.signedIn("Leaky");
    await leaky.post("/tokens", { label: "leaked", role: "reader", all: "yes", ends: "2026-12-31" });
    const [token] = await door.store.accounts.tokensOf(id);
    assert.match((await admin.get(`/people/${id}`)).body, /leaked[\s\S]*with 31 Dec 2026/);
    assert.equal((await admin.post(`/people/${other}/tokens/${token!.id}/revoke`)).status, 404);
    assert.equal((await admin.post(`/people/${id}/tokens/${token!.id}/revoke`)).status, 303);
    assert.equal((await door.store.accounts.tokensOf(id))[0]!.revokedAtMs, door.clock.nowMs);
  });

  it("leaves somebody who can look after people", async () => {
    const own = await runDoor();
    const id = await own.add("Only", { role: "administrator" });
    const only = await own.signedIn("Only");
    for (const [path, fields] of [
      [`/people/${id}/disable`, {}],
      [`/people/${id}`, { role: "manager", all: "yes" }],
    ] as const) {
      const answer = await only.post(path, fields);
      assert.equal(answer.status, 422);
      assert.match(answer.body, /Nobody would be left to look after people/);
    }
    const second = await own.add("Second", { role: "administrator" });
    assert.equal((await only.post(`/people/${second}/disable`)).status, 303);
    assert.equal((await only.post(`/people/${id}/disable`)).status, 422);
    await own.stop();
  });

  it("knows nobody by another number", async () => {
    for (const number of ["999", "0", "-1", "1e0", "abc", "1%20"]) {
      assert.equal((await admin.get(`/people/${number}`)).status, 404, number);
    }
  });
});
