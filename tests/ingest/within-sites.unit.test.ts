import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { ingest, scratchStore, writeFiles } from "./support/scratch.ts";

const HEADER = "fluid_lot,certified_mpas,expires_on\n";

describe("a lot that somebody of one site sends", () => {
  it("comes in where it is new or the same, and is not changed where others judge by it", async () => {
    const store = await scratchStore();
    const send = (rows: string, sites: readonly string[] | null) =>
      ingest(store, writeFiles({ "lots.csv": HEADER + rows }), { sites });
    await send("LOT-1,95,2026-12-31\n", null);
    assert.equal((await send("LOT-2,96,2026-12-31\n", ["Quay"])).files[0]!.error, null);
    assert.equal((await send("LOT-1,95,2026-12-31\nLOT-3,97,2026-12-31\n", ["Quay"])).files[0]!.error, null);
    const refused = await send("LOT-4,98,2026-12-31\nLOT-1,99,2026-12-31\n", ["Quay"]);
    assert.match(refused.files[0]!.error!, /"LOT-1" is registered otherwise.*somebody who sees all sites/);
    const lots = (await store.fluids()).map(({ fluidLot, certifiedMPaS }) => [fluidLot, certifiedMPaS]);
    assert.deepEqual(lots.sort(), [
      ["LOT-1", 95],
      ["LOT-2", 96],
      ["LOT-3", 97],
    ]);
    assert.equal((await send("LOT-1,99,2026-12-31\n", null)).files[0]!.error, null);
  });
});
