import assert from "node:assert/strict";
import { afterEach, beforeEach, describe, it } from "vitest";
import { readSignIn, type SignInOptions } from "../../../dashboard/accounts/sign-in-settings.ts";
import { makeWorld, type World } from "../commands/run-command.ts";
import { Visitor } from "./visitor.ts";

const NOW = "2026-04-01T12:00:00Z";
const PASSWORD = "marble otter lantern";

let world: World;
beforeEach(() => {
  world = makeWorld(NOW);
});
afterEach(() => world.remove());

const people = async () =>
  (JSON.parse((await world.run(["people", "--json"])).out) as { people: Record<string, unknown>[] }).people;

describe("springtide people", () => {
  it("adds somebody with a one-time password that is printed once", async () => {
    const added = await world.run([
      "people",
      "add",
      "Anna Berg",
      "--role",
      "checker",
      "--site",
      "North",
      "South",
    ]);
    assert.equal(added.exitCode, 0);
    assert.match(added.out, /^Anna Berg is added: checker, North and South\.\n\n {4}[a-z2-9-]{19}\n/);
    assert.deepEqual(added.said, [
      "springtide: no unit is registered at North yet",
      "springtide: no unit is registered at South yet",
    ]);
    const list = await world.run(["people"]);
    assert.match(list.out, /Anna Berg +checker +North and South +yes/);
    const json = await world.run(["people", "add", "B", "--role", "reader", "--all-sites", "--json"]);
    assert.match(
      (JSON.parse(json.out) as { one_time_password: string }).one_time_password,
      /^[a-z2-9-]{19}$/,
    );
  });

  it("takes a password from standard input, by the same rules, and prints none", async () => {
    const words = ["people", "add", "Anna", "--role", "reader", "--all-sites", "--password-stdin"];
    for (const [input, fault] of [
      ["short\n", /at least 15 characters/],
      ["", /at least 15 characters/],
      ["passwordpassword\n", /others try first/],
    ] as const) {
      const refused = await world.run(words, { input });
      assert.equal(refused.exitCode, 1);
      assert.match(refused.said[0]!, fault);
    }
    const added = await world.run(words, { input: `${PASSWORD}\r\nanother line\n` });
    assert.deepEqual([added.exitCode, added.out], [0, "Anna is added: reader, all sites.\n"]);
  });

  it("changes, disables, enables and resets", async () => {
    await world.run(["people", "add", "Anna", "--role", "reader", "--all-sites", "--email", "a@lab.example"]);
    assert.equal(
      (await world.run(["people", "change", "anna", "--role", "manager", "--site", "North"])).out,
      "Anna: manager, North.\n",
    );
    assert.match((await world.run(["people", "disable", "Anna"])).out, /may no longer sign in/);
    const [anna] = await people();
    assert.deepEqual(anna, {
      name: "Anna",
      email: "a@lab.example",
      role: "manager",
      sites: ["North"],
      disabled_at_ms: Date.parse(NOW),
      made_at_ms: Date.parse(NOW),
    });
    await world.run(["people", "enable", "Anna"]);
    await world.run(["people", "change", "Anna", "--email", ""]);
    assert.deepEqual([(await people())[0]!.disabled_at_ms, (await people())[0]!.email], [null, null]);
    assert.match(
      (await world.run(["people", "reset", "Anna"])).out,
      /Anna is signed out everywhere\.\n\n {4}[a-z2-9-]{19}\n/,
    );
  });

  it("says in one line what is off", async () => {
    await world.run(["people", "add", "Anna", "--role", "administrator", "--all-sites"]);
    for (const [words, exitCode, line] of [
      [["add", "B", "--role", "reader"], 2, /say which sites/],
      [["add", "B", "--role", "reader", "--all-sites", "--site", "North"], 2, /either --site or --all-sites/],
      [
        ["add", "B", "--role", "reader", "--all-sites", "--company-only", "--password-stdin"],
        2,
        /say either/,
      ],
      [["add", "B", "--role", "reader", "--all-sites", "--company-only"], 1, /needs an e-mail address/],
      [["add", "ANNA", "--role", "reader", "--all-sites"], 1, /There is an account for ANNA already/],
      [["change", "Anna"], 2, /say what is to change/],
      [["change", "Bert", "--role", "reader"], 1, /there is nobody called Bert/],
      [["disable", "Anna"], 1, /Nobody would be left/],
      [["change", "Anna", "--role", "manager"], 1, /Nobody would be left/],
    ] as const) {
      const outcome = await world.run(["people", ...words]);
      assert.equal(outcome.exitCode, exitCode, words.join(" "));
      assert.equal(outcome.said.length, 1);
      assert.match(outcome.said[0]!, line);
    }
    assert.equal((await people()).length, 1);
  });
});

describe("springtide serve --sign-in", () => {
  it("wants an administrator first, and then asks everybody to sign in", async () => {
    await world.run(["people", "add", "R", "--role", "reader", "--all-sites"]);
    const serve = ["serve", "--sign-in", "--port", "0", "--as-of", "2026-04-01"];
    const refused = await world.run(serve);
    assert.deepEqual([refused.exitCode, refused.out], [1, ""]);
    assert.match(refused.said[0]!, /springtide people add NAME --role administrator --all-sites/);

    const add = ["people", "add", "Anna", "--role", "administrator", "--all-sites", "--password-stdin"];
    await world.run(add, { input: PASSWORD });
    const served = await world.run(serve, {
      whileServing: async (out) => {
        const url = /(http:\S+)\/\n/.exec(out)![1]!;
        const visitor = new Visitor(url, url, "192.0.2.1");
        assert.notEqual((await visitor.get("/tokens")).status, 200);
        assert.equal((await visitor.post("/sign-in", { name: "Anna", password: PASSWORD })).status, 303);
        assert.match((await visitor.get("/people")).body, /2 people may sign in/);
      },
    });
    assert.equal(served.exitCode, 0);
  });

  it("is needed on any other address, and so is HTTPS before it; the demo has none", async () => {
    for (const [words, line] of [
      [["serve", "--host", "0.0.0.0"], /0\.0\.0\.0 can be reached by others.*add --sign-in/],
      [["serve", "--host", "::"], /:: can be reached by others/],
      [["serve", "--public-address", "https://a.example"], /https:\/\/a\.example can be reached by others/],
      [["serve", "--host", "0.0.0.0", "--sign-in"], /--public-address https/],
      [["demo", "--host", "192.0.2.1"], /the demo .* this machine only/],
    ] as const) {
      const outcome = await world.run([...words, "--port", "0"]);
      assert.deepEqual([outcome.exitCode, outcome.out, outcome.said.length], [1, "", 1], words.join(" "));
      assert.match(outcome.said[0]!, line);
    }
  });
});

describe("how people sign in", () => {
  const read = (env: Record<string, string>, options: SignInOptions = {}, host = "127.0.0.1") =>
    readSignIn(env, options, host);
  const OIDC = {
    SPRINGTIDE_OIDC_ISSUER: "https://sign-in.company.example/tenant",
    SPRINGTIDE_OIDC_CLIENT_ID: "springtide",
    SPRINGTIDE_OIDC_CLIENT_SECRET: "secret",
  };

  it("is read from the call and from the environment", () => {
    for (const host of ["127.0.0.1", "127.8.9.1", "::1", "localhost"]) assert.equal(read({}, {}, host), null);
    assert.deepEqual(read({ SPRINGTIDE_SIGN_IN: "1" }), { publicAddress: null, proxies: 0, company: null });
    const address = "https://springtide.lab.example";
    assert.deepEqual(
      read({ ...OIDC, SPRINGTIDE_SIGN_IN: "1", SPRINGTIDE_PUBLIC_ADDRESS: address }, {}, "0.0.0.0"),
      {
        publicAddress: new URL(address),
        proxies: 1,
        company: {
          issuer: new URL(OIDC.SPRINGTIDE_OIDC_ISSUER),
          clientId: "springtide",
          clientSecret: "secret",
        },
      },
    );
    const options = { signIn: true, publicAddress: address, proxies: "2" } as const;
    assert.equal(read({ SPRINGTIDE_PROXIES: "3" }, options)?.proxies, 2);
  });

  it.each([
    [{ SPRINGTIDE_SIGN_IN: "yes" }, {}, /SPRINGTIDE_SIGN_IN is 1 or 0/],
    [{}, { signIn: true, publicAddress: "springtide.lab.example" }, /--public-address takes an address like/],
    [{}, { signIn: true, publicAddress: "http://springtide.lab.example" }, /--public-address takes/],
    [{}, { signIn: true, publicAddress: "https://a.example/path" }, /without a path/],
    [{}, { signIn: true, proxies: "many" }, /--proxies takes a whole number/],
    [
      { SPRINGTIDE_OIDC_ISSUER: "https://a.example" },
      { signIn: true },
      /needs SPRINGTIDE_OIDC_CLIENT_ID and/,
    ],
    [
      { ...OIDC, SPRINGTIDE_OIDC_ISSUER: "http://a.example" },
      { signIn: true },
      /ISSUER takes an address like https/,
    ],
  ] as const)("cannot be %j %j", (env, options, words) => {
    assert.throws(() => read(env, options), words);
  });
});
