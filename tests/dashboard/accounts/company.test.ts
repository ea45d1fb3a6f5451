import assert from "node:assert/strict";
import { inspect } from "node:util";
import { afterAll, beforeAll, beforeEach, describe, it } from "vitest";
import { CLIENT, type Provider, runProvider, type Says } from "./company-provider.ts";
import { type RunningDoor, runDoor } from "./running-door.ts";
import type { Answer, Visitor } from "./visitor.ts";

const WAY = "springtide-on-the-way";
const FAILED = /The company\u2019s sign-in did not go through\./;
const NOT_KNOWN = /The company knows you, but you have no account here\.[\s\S]*Ask an administrator/;

let provider: Provider;
let door: RunningDoor;
beforeAll(async () => {
  provider = await runProvider();
  const company = { issuer: provider.issuer, clientId: CLIENT.id, clientSecret: CLIENT.secret };
  door = await runDoor({ company });
});
afterAll(async () => {
  await door.stop();
  await provider.stop();
});
beforeEach(() => {
  door.reported.length = 0;
});

/** Sets out for the provider, which approves. @returns The address at which the browser comes back. */
async function leave(visitor: Visitor, says: Says, next = "/units"): Promise<string> {
  provider.says = says;
  const answer = await visitor.get(`/sign-in/company?next=${encodeURIComponent(next)}`);
  assert.equal(answer.status, 303);
  const back = await provider.approve(answer.headers.location!);
  assert.equal(back.origin, door.url);
  return back.pathname + back.search;
}

async function through(says: Says, next?: string): Promise<{ visitor: Visitor; answer: Answer }> {
  const visitor = door.visitor();
  return { visitor, answer: await visitor.get(await leave(visitor, says, next)) };
}

async function isIn(visitor: Visitor): Promise<boolean> {
  return (await visitor.get("/tokens")).status === 200;
}

async function assertRefused(answer: Answer, visitor: Visitor, words: RegExp): Promise<void> {
  assert.equal(answer.status, 403);
  assert.match(answer.body, words);
  assert.equal(await isIn(visitor), false);
}

describe("the company's sign-in", () => {
  it("asks for a code with PKCE, state and nonce, and says where to come back to", async () => {
    const visitor = door.visitor();
    assert.match((await visitor.get("/sign-in")).body, /href="\/sign-in\/company\?next=%2F"/);
    const { headers } = await visitor.get("/sign-in/company");
    const { origin, searchParams: asked } = new URL(headers.location!);
    assert.equal(origin, provider.issuer.origin);
    assert.equal(asked.get("response_type"), "code");
    assert.equal(asked.get("scope"), "openid email");
    assert.equal(asked.get("redirect_uri"), `${door.url}/sign-in/company/back`);
    assert.equal(asked.get("code_challenge_method"), "S256");
    for (const name of ["state", "nonce", "code_challenge"]) assert.match(asked.get(name)!, /^[\w-]{43}$/);
    assert.match(visitor.setBy.get(WAY)!, /; Max-Age=600; Path=\/; Expires=[^;]+; HttpOnly; SameSite=Lax$/);
  });

  it("lets a known person in by verified e-mail at first, then by subject alone", async () => {
    const id = await door.add("Anna", { email: "anna@company.example" });
    const first = await through({ subject: "a-1", email: "Anna@company.example", verified: true });
    assert.deepEqual([first.answer.status, first.answer.headers.location], [303, "/units"]);
    assert.equal(await isIn(first.visitor), true);
    assert.equal(first.visitor.cookies.has(WAY), false);
    assert.deepEqual((await door.store.accounts.find(id))?.subject, {
      issuer: provider.issuer.origin,
      subject: "a-1",
    });
    const second = await through({ subject: "a-1", email: "married@company.example", verified: false });
    assert.equal(await isIn(second.visitor), true);
  });

  it("asks for the e-mail address where the ID token does not tell it", async () => {
    await door.add("Later", { email: "later@company.example" });
    const says = { subject: "l-1", email: "later@company.example", verified: true, emailLater: true };
    assert.equal(await isIn((await through(says)).visitor), true);
  });

  it("tells whom to ask where nobody is matched", async () => {
    const id = await door.add("Known", { email: "known@company.example" });
    const unmatched: Says[] = [
      { subject: "n-1", email: "stranger@company.example", verified: true },
      { subject: "n-2", email: "known@company.example", verified: false },
      { subject: "n-3", email: "known@company.example" },
      { subject: "n-4" },
    ];
    for (const says of unmatched) {
      const { answer, visitor } = await through(says);
      await assertRefused(answer, visitor, NOT_KNOWN);
    }
    assert.equal((await door.store.accounts.find(id))?.subject, null);
    assert.equal(await door.store.trail.count({ action: "refused-sign-in" }), unmatched.length);
    assert.deepEqual(door.reported, []);
  });

  it("matches nobody by an address that somebody else's subject has already, or who is disabled", async () => {
    const id = await door.add("Taken", { email: "taken@company.example" });
    await through({ subject: "t-1", email: "taken@company.example", verified: true });
    const other = await through({ subject: "t-2", email: "taken@company.example", verified: true });
    await assertRefused(other.answer, other.visitor, NOT_KNOWN);
    await door.store.accounts.change(id, { disabledAtMs: 1 });
    const { answer, visitor } = await through({
      subject: "t-1",
      email: "taken@company.example",
      verified: true,
    });
    await assertRefused(answer, visitor, NOT_KNOWN);
  });

  it("leads nowhere else afterwards", async () => {
    await door.add("Next", { email: "next@company.example" });
    const says = { subject: "x-1", email: "next@company.example", verified: true };
    assert.equal((await through(says, "//elsewhere.example")).answer.headers.location, "/");
    const visitor = door.visitor();
    const back = await leave(visitor, says);
    const onTheWay = JSON.parse(Buffer.from(visitor.cookies.get(WAY)!, "base64url").toString());
    const forged = JSON.stringify({ ...onTheWay, next: "https://elsewhere.example/" });
    visitor.cookies.set(WAY, Buffer.from(forged).toString("base64url"));
    assert.equal((await visitor.get(back)).headers.location, "/");
  });
});

describe("an answer of the company's sign-in that is not right", () => {
  const says: Says = { subject: "w-1", email: "wronga@company.example", verified: true };
  beforeAll(() => door.add("Wronga", { email: "wronga@company.example" }));

  it.each<[string, Partial<Says>]>([
    ["another nonce", { nonce: "another" }],
    ["an ID token that has ended", { endsIn: -600 }],
    ["an ID token for somebody else", { audience: "another client" }],
    ["an ID token of another issuer", { issuer: "https://elsewhere.example" }],
    ["a signature by a strange key", { strangeKey: true }],
  ])("is refused: %s", async (_name, wrong) => {
    const { answer, visitor } = await through({ ...says, ...wrong });
    await assertRefused(answer, visitor, FAILED);
    assert.equal(door.reported.length, 1);
    assert.doesNotMatch(inspect(door.reported, { depth: 9 }), /wronga@|w-1/);
  });

  it("is refused: another state, none, or another issuer's name", async () => {
    for (const change of [
      (back: URL) => back.searchParams.set("state", "another"),
      (back: URL) => back.searchParams.delete("state"),
      (back: URL) => back.searchParams.set("iss", "https://elsewhere.example"),
      (back: URL) => back.searchParams.set("error", "access_denied"),
    ]) {
      const visitor = door.visitor();
      const back = new URL(await leave(visitor, says), door.url);
      change(back);
      await assertRefused(await visitor.get(back.pathname + back.search), visitor, FAILED);
    }
  });

  it("is refused: a code that was used, in the same browser or in another", async () => {
    const visitor = door.visitor();
    const back = await leave(visitor, says);
    const onTheWay = visitor.cookies.get(WAY)!;
    assert.equal((await visitor.get(back)).status, 303);
    const again = door.visitor();
    await assertRefused(await again.get(back), again, FAILED);
    again.cookies.set(WAY, onTheWay);
    await assertRefused(await again.get(back), again, FAILED);
  });

  it("is refused: a way that this browser never set out on", async () => {
    const attacker = door.visitor();
    const back = await leave(attacker, says);
    for (const cookie of [null, "", "e30", "bnVsbA", Buffer.from("{").toString("base64url")]) {
      const victim = door.visitor();
      if (cookie !== null) victim.cookies.set(WAY, cookie);
      await assertRefused(await victim.get(back), victim, FAILED);
    }
    // Another's own way has another state and verifier.
    const victim = door.visitor();
    await leave(victim, says);
    await assertRefused(await victim.get(back), victim, FAILED);
  });
});

describe("a company's sign-in that is away", () => {
  it("is said so, and is asked again the next time", async () => {
    const away = await runProvider();
    const company = { issuer: away.issuer, clientId: CLIENT.id, clientSecret: CLIENT.secret };
    await away.stop();
    const own = await runDoor({ company });
    const answer = await own.visitor().get("/sign-in/company");
    assert.equal(answer.status, 503);
    assert.match(answer.body, /cannot be reached/);
    assert.equal(own.reported.length, 1);
    assert.equal((await own.visitor().get("/sign-in")).status, 200);
    await own.stop();
  });
});
