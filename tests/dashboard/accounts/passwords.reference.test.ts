import assert from "node:assert/strict";
import { argon2Sync } from "node:crypto";
import { describe, it } from "vitest";
import { digestPassword, isOutdated, isPassword } from "../../../dashboard/accounts/passwords.ts";

/** The reference implementation's own check value: `test.c` of the winner of the Password Hashing Competition. */
const REFERENCE = "$argon2id$v=19$m=65536,t=2,p=1$c29tZXNhbHQ$CTFhFdXPJO1aFaMaO6Mm5c8y7cJHAph8ArZWb2GRPPc";

describe("digests of passwords", () => {
  it("are Argon2id as RFC 9106, section 5.3, has it", () => {
    const tag = argon2Sync("argon2id", {
      message: Buffer.alloc(32, 1),
      nonce: Buffer.alloc(16, 2),
      secret: Buffer.alloc(8, 3),
      associatedData: Buffer.alloc(12, 4),
      parallelism: 4,
      tagLength: 32,
      memory: 32,
      passes: 3,
    });
    assert.equal(tag.toString("hex"), "0d640df58d78766c08c037a34a8b53c9d01ef0452d75b65eb52520e96b01e659");
  });

  it("made elsewhere are understood, by the parameters that they name", async () => {
    assert.equal(await isPassword("password", REFERENCE), true);
    assert.equal(await isPassword("Password", REFERENCE), false);
    assert.equal(isOutdated(REFERENCE), true);
  });

  it("of our own hold the parameters, a salt of their own, and nothing of the password", async () => {
    const digests = [
      await digestPassword("marble otter lantern"),
      await digestPassword("marble otter lantern"),
    ];
    for (const digest of digests) {
      assert.match(digest, /^\$argon2id\$v=19\$m=19456,t=2,p=1\$[A-Za-z0-9+/]{22}\$[A-Za-z0-9+/]{43}$/);
      assert.equal(isOutdated(digest), false);
      assert.equal(await isPassword("marble otter lantern", digest), true);
    }
    assert.notEqual(digests[0], digests[1]);
  });

  it("tell letters apart by what they are, not by how they are put in", async () => {
    const digest = await digestPassword("gr\u00fcn und blau und rot");
    assert.equal(await isPassword("gru\u0308n und blau und rot", digest), true);
    assert.equal(await isPassword("grun und blau und rot", digest), false);
  });

  it("that are none match nothing", async () => {
    for (const digest of [null, "", "password", "$argon2id$v=19$m=8,t=1,p=1$$"]) {
      assert.equal(await isPassword("password", digest), false);
    }
  });
});
