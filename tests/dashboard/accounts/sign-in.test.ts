import assert from "node:assert/strict";
import type { IncomingMessage } from "node:http";
import { afterAll, beforeAll, describe, it } from "vitest";
import { personOf } from "../../../dashboard/accounts/person-of.ts";
import { PASSWORD, type RunningDoor, runDoor } from "./running-door.ts";
import type { Visitor } from "./visitor.ts";

const HOUR = 3_600_000;
const MINUTE = 60_000;

let door: RunningDoor;
beforeAll(async () => {
  door = await runDoor();
});
afterAll(() => door.stop());

/** Whom the server takes a visitor for: by the page of the tokens, which only a person has. */
async function isIn(visitor: Visitor): Promise<boolean> {
  const { status } = await visitor.get("/tokens");
  return status === 200;
}

async function tried(visitor: Visitor, name: string, password: string): Promise<string> {
  const { status, body } = await visitor.post("/sign-in", { name, password });
  return status === 303 ? "in" : (/role="alert">([^<]*)/.exec(body)?.[1] ?? `status ${status}`);
}

const NOT_RIGHT = "The name or the password is not right.";

describe("signing in", () => {
  it("leads to the page that was asked for, with a cookie that scripts do not see", async () => {
    await door.add("Anna");
    const anna = door.visitor();
    assert.equal(await isIn(anna), false);
    const page = await anna.get("/sign-in?next=%2Funits%3Fstate%3Dout");
    assert.match(page.body, /name="next" value="\/units\?state=out"/);
    assert.equal(page.headers["cache-control"], "no-store");
    const answer = await anna.post("/sign-in", {
      name: "anna",
      password: PASSWORD,
      next: "/units?state=out",
    });
    assert.deepEqual([answer.status, answer.headers.location], [303, "/units?state=out"]);
    assert.match(anna.setBy.get("springtide")!, /^springtide=[\w-]{43}; Path=\/; HttpOnly; SameSite=Lax$/);
    assert.equal(await isIn(anna), true);
    assert.equal((await anna.get("/sign-in?next=/units")).headers.location, "/units");
  });

  it("leads nowhere else, whatever the address or the form says", async () => {
    await door.add("Nexta");
    for (const next of [
      "//elsewhere.example",
      "/\\elsewhere.example",
      "/.//elsewhere.example",
      "https://elsewhere.example/",
    ]) {
      const page = await door.visitor().get(`/sign-in?next=${encodeURIComponent(next)}`);
      assert.match(page.body, /name="next" value="\/"/);
      const answer = await door.visitor().post("/sign-in", { name: "Nexta", password: PASSWORD, next });
      assert.equal(answer.headers.location, "/", next);
    }
  });

  it("takes no session that was there before: neither a stranger's nor one of its own", async () => {
    await door.add("Fixa");
    const fixa = door.visitor();
    fixa.cookies.set("springtide", "x".repeat(43));
    assert.equal(await tried(fixa, "Fixa", PASSWORD), "in");
    const first = fixa.cookies.get("springtide")!;
    assert.notEqual(first, "x".repeat(43));
    assert.equal(await tried(fixa, "Fixa", PASSWORD), "in");
    const before = door.visitor();
    before.cookies.set("springtide", first);
    assert.equal(await isIn(before), false);
    assert.equal(await isIn(fixa), true);
  });

  it("says the same for a wrong password, a name that nobody has and somebody who is disabled", async () => {
    await door.add("Wronga");
    const id = await door.add("Disabla");
    await door.store.accounts.change(id, { disabledAtMs: 1 });
    for (const [name, password] of [
      ["Wronga", "x"],
      ["Nobody", PASSWORD],
      ["Disabla", PASSWORD],
      ["", ""],
    ] as const) {
      const answer = await door.visitor().post("/sign-in", { name, password });
      assert.equal(answer.status, 403);
      assert.match(answer.body, new RegExp(NOT_RIGHT));
      assert.deepEqual(answer.headers["set-cookie"], undefined);
    }
  });

  it("takes as long for a name that nobody has", async () => {
    await door.add("Tima");
    const times: Record<string, number[]> = { Tima: [], Nobody: [] };
    for (let i = 0; i < 9; i++) {
      for (const name of ["Tima", "Nobody"]) {
        const begun = performance.now();
        await tried(door.visitor(), name, `wrong ${i}`);
        times[name]!.push(performance.now() - begun);
        await door.store.accounts.forgetAttempts(name);
      }
    }
    const least = (name: string) => Math.min(...times[name]!);
    // The digest alone takes some 50 ms; a lookup without it takes one or two. Busy machines blur all but the least.
    assert.ok(least("Nobody") > least("Tima") / 2, `${least("Nobody")} and ${least("Tima")} ms`);
  });

  it("is locked after the fifth failed attempt, known or not, told when, and also to the right password", async () => {
    await door.add("Locka");
    for (const name of ["Locka", "Nobody at all"]) {
      for (let i = 0; i < 5; i++) assert.equal(await tried(door.visitor(), name, "wrong"), NOT_RIGHT);
      assert.equal(
        await tried(door.visitor(), name, PASSWORD),
        "There were too many attempts under this name: wait 30 seconds, then try again.",
      );
    }
    door.clock.nowMs += 30_000;
    assert.equal(await tried(door.visitor(), "Locka", PASSWORD), "in");
    assert.equal(await tried(door.visitor(), "Locka", "wrong"), NOT_RIGHT);
    assert.equal(await tried(door.visitor(), "Locka", PASSWORD), "in");
  });

  it("lets no more guesses through when they come all at once", async () => {
    await door.add("Burst");
    const answers = await Promise.all(
      Array.from({ length: 9 }, (_, i) => tried(door.visitor(), "Burst", i === 8 ? PASSWORD : "wrong")),
    );
    assert.equal(answers.filter((answer) => answer === NOT_RIGHT || answer === "in").length, 5);
  });
});

describe("a session", () => {
  it("ends on the server by signing out, and the cookie goes", async () => {
    await door.add("Outa");
    const outa = await door.signedIn("Outa");
    const secret = outa.cookies.get("springtide")!;
    const answer = await outa.post("/sign-out");
    assert.deepEqual([answer.status, answer.headers.location], [303, "/sign-in"]);
    assert.equal(outa.cookies.has("springtide"), false);
    outa.cookies.set("springtide", secret);
    assert.equal(await isIn(outa), false);
  });

  it("ends when nobody uses it for eight hours, and after a day however much it is used", async () => {
    await door.add("Idla");
    const [idle, used] = [await door.signedIn("Idla"), await door.signedIn("Idla")];
    door.clock.nowMs += 8 * HOUR - MINUTE;
    assert.equal(await isIn(used), true);
    door.clock.nowMs += 2 * MINUTE;
    assert.equal(await isIn(idle), false);
    for (let hours = 8; hours < 24; hours += 3) {
      assert.equal(await isIn(used), true, `${hours} hours`);
      door.clock.nowMs += 3 * HOUR;
    }
    assert.equal(await isIn(used), false);
  });

  it("is that of its cookie alone: no other cookie, none twice, nothing else than ours", async () => {
    await door.add("Cooka");
    const cooka = await door.signedIn("Cooka");
    const secret = cooka.cookies.get("springtide")!;
    for (const cookie of [
      `springtide=${secret}; springtide=${secret}`,
      `springtide=${"y".repeat(43)}`,
      `springtide=' OR 1=1 --`,
      `__Host-springtide=${secret}`,
      `xspringtide=${secret}`,
    ]) {
      assert.notEqual((await door.visitor().get("/tokens", { cookie })).status, 200, cookie);
    }
  });

  it("ends wherever its person is signed in when the password is changed, but for where it was", async () => {
    await door.add("Changa");
    const [here, there] = [await door.signedIn("Changa"), await door.signedIn("Changa")];
    const sent = {
      name: "Changa",
      password: PASSWORD,
      chosen: "granite tide piano",
      again: "granite tide piano",
    };
    assert.equal((await here.post("/sign-in/password", { ...sent, again: "another" })).status, 422);
    assert.equal(
      (await here.post("/sign-in/password", { ...sent, chosen: "short", again: "short" })).status,
      422,
    );
    assert.equal((await here.post("/sign-in/password", { ...sent, password: "wrong" })).status, 403);
    assert.equal(await isIn(there), true);
    assert.equal((await here.post("/sign-in/password", sent)).status, 303);
    assert.deepEqual([await isIn(here), await isIn(there)], [true, false]);
    assert.equal(await tried(door.visitor(), "Changa", PASSWORD), NOT_RIGHT);
  });
});

describe("who is signed in", () => {
  const asked = (headers: IncomingMessage["headers"]) =>
    personOf(
      { accounts: door.store.accounts, now: () => door.clock.nowMs, secure: false, beingNoted: new Set() },
      {
        headers,
      } as IncomingMessage,
    );

  it("has the role and the sites that the account has now", async () => {
    const id = await door.add("Nowa", { role: "checker", sites: ["North"] });
    const nowa = await door.signedIn("Nowa");
    const headers = { cookie: `springtide=${nowa.cookies.get("springtide")}` };
    assert.deepEqual(await asked(headers), { name: "Nowa", role: "checker", sites: ["North"] });
    await door.store.accounts.change(id, { role: "planner", sites: null });
    assert.deepEqual(await asked(headers), { name: "Nowa", role: "planner", sites: null });
    // A role of a later version may read here.
    await door.store.accounts.change(id, { role: "archivist" });
    assert.equal((await asked(headers))?.role, "reader");
    await door.store.accounts.change(id, { disabledAtMs: 1 });
    assert.equal(await asked(headers), null);
  });

  it("is told by a token alone where there is one, and never does or sees more than its person", async () => {
    const id = await door.add("Toka", { role: "engineer", sites: ["North", "South"] });
    const toka = await door.signedIn("Toka");
    const made = await toka.post("/tokens", {
      label: "upload",
      role: "checker",
      site: ["North"],
      ends: "2026-06-30",
    });
    const secret = /<code>([\w-]{43})<\/code>/.exec(made.body)![1]!;
    const cookie = `springtide=${toka.cookies.get("springtide")}`;
    const headers = { authorization: `Bearer ${secret}` };
    assert.deepEqual(await asked(headers), { name: "Toka", role: "checker", sites: ["North"] });
    assert.equal(await asked({ cookie, authorization: "Bearer nonsense" }), null);
    assert.equal(await asked({ cookie, authorization: `Basic ${secret}` }), null);
    await door.store.accounts.change(id, { role: "planner", sites: ["South"] });
    assert.deepEqual(await asked(headers), { name: "Toka", role: "reader", sites: [] });
    await door.store.accounts.change(id, { role: "engineer", sites: null });
    // Tokens make no tokens, even beside a session.
    assert.notEqual((await toka.get("/tokens", headers)).status, 200);

    const before = door.clock.nowMs;
    door.clock.nowMs = Date.parse("2026-06-30T23:59:59Z");
    assert.equal((await asked(headers))?.name, "Toka");
    door.clock.nowMs = Date.parse("2026-07-01T00:00:00Z");
    assert.equal(await asked(headers), null);
    door.clock.nowMs = before;
    const [token] = await door.store.accounts.tokensOf(id);
    assert.equal((await toka.post(`/tokens/${token!.id}/revoke`)).status, 303);
    assert.equal(await asked(headers), null);
  });

  it("is nobody once the account is disabled, by session and by token", async () => {
    const id = await door.add("Gona");
    const gona = await door.signedIn("Gona");
    const made = await gona.post("/tokens", { label: "x", role: "reader", all: "yes", ends: "2026-12-31" });
    const headers = { authorization: `Bearer ${/<code>([\w-]{43})/.exec(made.body)![1]}` };
    assert.deepEqual(await asked(headers), { name: "Gona", role: "reader", sites: null });
    await door.store.accounts.change(id, { disabledAtMs: door.clock.nowMs });
    assert.equal(await asked(headers), null);
    assert.equal(await isIn(gona), false);
  });
});

describe("a token", () => {
  const good = { label: "upload", role: "reader", all: "yes", ends: "2026-06-30" };

  it("is refused with more than its person may, without an end, or with one after a year", async () => {
    await door.add("Refusa", { role: "checker", sites: ["North"] });
    const refusa = await door.signedIn("Refusa");
    for (const [wrong, words] of [
      [{ label: "" }, /Say what the token is for/],
      [{ role: "planner" }, /Choose what the token may do/],
      [{ role: "administrator" }, /Choose what the token may do/],
      [{ all: [], site: "South" }, /Choose sites that you see/],
      [{ all: [] }, /Choose sites that you see/],
      [{ ends: "" }, /The last day is from/],
      [{ ends: "2026-03-31" }, /The last day is from/],
      [{ ends: "2027-04-03" }, /The last day is from/],
      [{ ends: "never" }, /The last day is from/],
    ] as const) {
      const answer = await refusa.post("/tokens", { ...good, ...wrong });
      assert.equal(answer.status, 422, JSON.stringify(wrong));
      assert.match(answer.body, words);
    }
    assert.equal((await refusa.post("/tokens", good)).status, 200);
  });

  it("is shown once, stored by its digest, and revoked by its own person only", async () => {
    const id = await door.add("Owna");
    await door.add("Othera");
    const [owna, othera] = [await door.signedIn("Owna"), await door.signedIn("Othera")];
    const secret = /<code>([\w-]{43})/.exec((await owna.post("/tokens", good)).body)![1]!;
    assert.doesNotMatch((await owna.get("/tokens")).body, new RegExp(secret));
    const [token] = await door.store.accounts.tokensOf(id);
    assert.notEqual(token!.digest, secret);
    assert.equal((await othera.post(`/tokens/${token!.id}/revoke`)).status, 404);
    assert.equal((await door.store.accounts.tokensOf(id))[0]!.revokedAtMs, null);
  });
});

describe("forms from another site's page", () => {
  it.each(["/sign-in", "/sign-in/password", "/sign-out", "/people", "/tokens"])(
    "are refused at %s",
    async (path) => {
      const name = `Crossa ${path}`;
      await door.add(name, { role: "administrator" });
      const visitor = await door.signedIn(name);
      for (const from of [
        { origin: "https://elsewhere.example", "sec-fetch-site": "cross-site" },
        { "sec-fetch-site": "same-site" },
        { origin: "http://127.0.0.1:1" },
      ]) {
        const answer = await visitor.post(path, { name, password: PASSWORD }, from);
        assert.equal(answer.status, 403, JSON.stringify(from));
      }
      assert.equal(await isIn(visitor), true);
    },
  );
});

describe("attempts from one address", () => {
  it("are few, whatever the names; those that succeed do not count", async () => {
    const own = await runDoor();
    await own.add("Busy");
    for (let i = 0; i < 3; i++) await own.signedIn("Busy"); // from 192.0.2.1 to .3; the one that guesses is .4
    const [one, answers] = [own.visitor(), [] as number[]];
    for (let i = 0; i < 31; i++) {
      answers.push((await one.post("/sign-in", { name: "", password: "" })).status);
    }
    assert.deepEqual([...new Set(answers.slice(0, 30))], [403]);
    assert.equal(answers[30], 429);
    await own.signedIn("Busy");
    // Only what the server before ours adds is believed, not what a visitor puts in front of it.
    const forged = { "x-forwarded-for": "198.51.100.7, 192.0.2.4" };
    assert.equal((await own.visitor().post("/sign-in", {}, forged)).status, 429);
    await own.stop();
  });
});

describe("behind a server that speaks HTTPS", () => {
  it("cookies are bound to the host and to HTTPS, and browsers are told to stay with it", async () => {
    const secure = await runDoor({ publicAddress: new URL("https://springtide.lab.example"), proxies: 1 });
    await secure.add("Anna");
    const anna = await secure.signedIn("Anna");
    assert.match(
      anna.setBy.get("__Host-springtide")!,
      /^__Host-springtide=[\w-]{43}; Path=\/; HttpOnly; Secure; SameSite=Lax$/,
    );
    const page = await anna.get("/tokens");
    assert.equal(page.status, 200);
    assert.match(String(page.headers["strict-transport-security"]), /max-age=\d{8}/);
    const plain = secure.visitor();
    plain.cookies.set("springtide", anna.cookies.get("__Host-springtide")!);
    assert.notEqual((await plain.get("/tokens")).status, 200);
    await secure.stop();
  });
});

describe("what is stored", () => {
  it("holds no password, session or token", async () => {
    await door.add("Storeda");
    const one = await door.signedIn("Storeda");
    const secret = /<code>([\w-]{43})/.exec(
      (await one.post("/tokens", { label: "x", role: "reader", all: "yes", ends: "2026-06-30" })).body,
    )![1]!;
    await tried(door.visitor(), "typed into the wrong field", "x");
    const everything: unknown[] = [];
    await door.store.contents.read(async (from) => {
      for (const table of await door.store.contents.tables()) {
        for await (const rows of from.rows(table)) everything.push(rows);
      }
    });
    const text = JSON.stringify(everything);
    assert.ok(text.includes("Storeda"));
    for (const kept of [PASSWORD, secret, one.cookies.get("springtide")!, "typed into the wrong field"]) {
      assert.ok(!text.includes(kept));
    }
  });
});
