import assert from "node:assert/strict";
import { readdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, it } from "vitest";
import { suggestProfile } from "../../../ingest/index.ts";
import { profileSchema } from "../../../ingest/profile/profile-schema.ts";
import { draftDates } from "../../../ingest/profile/suggest/draft-dates.ts";
import { MANNERS } from "../messy/manners.ts";
import { messyFiles } from "../messy/messy-files.ts";
import { ingest, NOW, scratchFolder, scratchStore, writeFiles } from "../support/scratch.ts";

const { files, expected } = messyFiles(4, NOW);
const registers = Object.fromEntries(
  Object.entries(files).filter(([name]) => name.startsWith("zz head office/") && !name.includes("all sites")),
);

describe("suggestProfile", () => {
  for (const manner of MANNERS) {
    it(`drafts what ${manner.site} needs: with the zone added, every row comes to what was planted`, async () => {
      const name = `${manner.site.toLowerCase()}/${manner.file}`;
      const folder = writeFiles({ [name]: files[name]!, ...registers });
      const before = readdirSync(folder, { recursive: true });
      const { profile, columns, notes } = await suggestProfile(join(folder, name));
      assert.deepEqual(readdirSync(folder, { recursive: true }), before, "nothing is written");
      assert.ok(profileSchema.safeParse(profile).success);
      const mapped = columns.filter(({ column }) => column !== null);
      assert.equal(
        mapped.length,
        columns.length - columns.filter(({ header }) => header === "remarks").length,
      );
      const timeZone = manner.profile?.time_zone;
      if (timeZone !== undefined) assert.match(notes.join(" "), /give time_zone/);

      const written = join(scratchFolder(), "drafted.profile.json");
      writeFileSync(
        written,
        JSON.stringify(timeZone === undefined ? profile : { ...profile, time_zone: timeZone }),
      );
      const store = await scratchStore();
      for (const register of Object.keys(registers)) await ingest(store, join(folder, register));
      const report = await ingest(store, join(folder, name), { profile: written });
      const { rows, accepted, repeated, quarantined, flagged, reasons } = report.files[0]!;
      const { flags: _, held: __, ...want } = expected[name]!;
      assert.deepEqual({ rows, accepted, repeated, quarantined, flagged, reasons }, want);
    });
  }

  it("says how sure it is, and what is missing", async () => {
    const folder = writeFiles({
      "a.csv": "Device,Temp,xyz,kind\nU1,77.1,4,other\nU2,76.9,5,weekly\n",
    });
    const { profile, columns, notes } = await suggestProfile(join(folder, "a.csv"));
    assert.deepEqual(
      columns.map(({ column, unit, sureness }) => [column, unit, sureness]),
      [
        ["instrument", null, "sure"],
        ["temperature_c", "[degF]", "sure"],
        [null, null, "unsure"],
        ["stage", null, "sure"],
      ],
    );
    assert.deepEqual(profile.stages, { weekly: "routine" });
    const all = notes.join("\n");
    assert.match(all, /stage "other" is not known/);
    assert.match(all, /No column was found for checked_at/);
    assert.match(all, /Passed over: "xyz"/);
  });
});

describe("draftDates", () => {
  it("tells the order of day and month where one of them says it", () => {
    assert.deepEqual(draftDates(["13/02/2025 10:00", "01/02/2025 09:30"]), {
      format: "d/M/yyyy H:mm",
      alsoFits: null,
    });
    assert.deepEqual(draftDates(["02/13/2025 10:00 AM"]), { format: "M/d/yyyy h:mm a", alsoFits: null });
    assert.deepEqual(draftDates(["2025-02-13T10:00:00Z"]), { format: null, alsoFits: null });
  });

  it("says so where both fit, and proposes none where nothing does", () => {
    assert.deepEqual(draftDates(["01/02/2025", "03/04/2025"]), { format: "d/M/yyyy", alsoFits: "M/d/yyyy" });
    assert.equal(draftDates(["soon", "later"]), null);
    assert.equal(draftDates([]), null);
  });
});
