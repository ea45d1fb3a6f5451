import assert from "node:assert/strict";
import fc from "fast-check";
import { describe, it } from "vitest";
import { ACTIONS, mayDo, ROLES } from "../../../dashboard/access/roles.ts";
import { isForGood, lockedUntilMs } from "../../../dashboard/accounts/lockout.ts";
import { nextPage } from "../../../dashboard/accounts/next-page.ts";
import { passwordFault } from "../../../dashboard/accounts/password-rules.ts";
import { coversRole } from "../../../dashboard/accounts/roles.ts";
import { tokenRoles } from "../../../dashboard/accounts/tokens.ts";

describe("a password", () => {
  const fault = (password: string) => passwordFault(password, ["Rosalind Planner", "r.planner@lab.example"]);

  it.each([
    ["marble otter lant", null],
    ["GRANITE tide 4711", null],
    ["日本語の長い合言葉は十五文字以上あります", null],
    ["marble otter l", "too-short"],
    ["\u{1F30A}".repeat(14), "too-short"],
    ["marble otter ".repeat(10), "too-long"],
    ["aaaaaaaaaaaaaaaa", "common"],
    ["passwordpassword1", "common"],
    ["Password1234567890", "common"],
    ["qwertyuiopasdfghjkl", "common"],
    ["Springtide-2026!", "common"],
    ["rosalindplanner1", "own-name"],
    ["Rosalind.Planner@Lab", "own-name"],
  ])("%s: %s", (password, expected) => {
    assert.equal(fault(password), expected);
  });
});

describe("a lock", () => {
  it("begins with the fifth attempt, doubles, and lasts an hour at most until it is for good", () => {
    const seconds = (attempts: number) => (lockedUntilMs(attempts, 1_000) - 1_000) / 1000;
    assert.deepEqual(
      [1, 4].map((attempts) => lockedUntilMs(attempts, 1_000)),
      [0, 0],
    );
    assert.deepEqual([5, 6, 7, 11, 12, 99].map(seconds), [30, 60, 120, 1920, 3600, 3600]);
    assert.ok(isForGood(lockedUntilMs(100, 1_000)) && !isForGood(lockedUntilMs(99, 1_000)));
  });
});

describe("the page after signing in", () => {
  it("is the one that was asked for", () => {
    for (const path of ["/", "/units?state=out#U-1", "/units/V%2F7", "/sign-inn"]) {
      assert.equal(nextPage(path), path);
    }
  });

  it.each([
    "//elsewhere.example",
    "/\\elsewhere.example",
    "/.//elsewhere.example/",
    "/units/..//elsewhere.example",
    "https://elsewhere.example/",
    "javascript:alert(1)",
    "elsewhere.example",
    "/\t/elsewhere.example",
    "/sign-in?next=/",
    "/sign-out",
    "",
    undefined,
    ["/units"],
  ])("is the first one for %j", (asked) => {
    assert.equal(nextPage(asked), "/");
  });

  it("is always one of ours", () => {
    const parts = fc.constantFrom("/", "\\", ".", "..", "//", "@", ":", "x.example", "\n", "%2f", "?", "#");
    fc.assert(
      fc.property(fc.array(parts, { maxLength: 8 }), (pieces) => {
        const page = nextPage(pieces.join(""));
        assert.equal(new URL(page, "https://ours.example").origin, "https://ours.example");
      }),
      { numRuns: 2000, seed: 8 },
    );
  });
});

describe("a token's roles", () => {
  it("do no more than its person, and never look after people", () => {
    for (const role of ROLES) {
      for (const offered of tokenRoles({ role })) {
        assert.ok(ACTIONS.every((action) => mayDo(role, action) || !mayDo(offered, action)));
        assert.ok(!mayDo(offered, "administer"));
      }
    }
    assert.deepEqual(tokenRoles({ role: "engineer" }), ["reader", "checker", "engineer"]);
    assert.deepEqual(tokenRoles({ role: "no role of ours" }), []);
  });

  it("are covered one way only", () => {
    assert.ok(coversRole("manager", "planner") && !coversRole("planner", "manager"));
    assert.ok(!coversRole("planner", "checker") && !coversRole("checker", "planner"));
  });
});
