import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { nearName } from "../../../ingest/readings/near-names.ts";

const LOTS = ["LOT-104", "LOT-105", "SIL 50/7"];

describe("nearName", () => {
  it("knows a name again in another spelling", () => {
    for (const name of [
      "lot104",
      "LOT 104",
      "L0T-1O4",
      "LOT-I04",
      "LTO-104",
      "LT-104",
      "LOOT-104",
      "LOX-104",
    ])
      assert.equal(nearName(name, LOTS), "LOT-104", name);
    assert.equal(nearName("sil-507", LOTS), "SIL 50/7");
  });

  it("takes another number for another lot", () => {
    for (const name of ["LOT-106", "LOT-10", "LOT-1044", "SIL 50/8", "104", "", "?"])
      assert.equal(nearName(name, LOTS), null, name);
  });

  it("says nothing where two names are near", () => {
    assert.equal(nearName("lot104", ["LOT-104", "Lot 104"]), null);
    assert.equal(nearName("LOT-140", ["LOT-104", "LOT-410"]), null);
  });
});
