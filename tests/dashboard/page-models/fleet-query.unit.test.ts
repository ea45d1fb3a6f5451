import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { HttpError } from "../../../dashboard/errors.ts";
import {
  fleetAddress,
  PATTERN_FILTERS,
  readFleetQuery,
  SORT_KEYS,
  STATE_FILTERS,
  selectUnits,
} from "../../../dashboard/page-models/fleet-query.ts";
import { unitRow } from "../../../dashboard/page-models/unit-row.ts";
import { unitsPage } from "../../../dashboard/page-models/units.ts";
import { fixtureAssessment } from "../support/fixture-fleet.ts";

const fleet = await fixtureAssessment(120).current();
const rows = fleet.assessment.units.map((unit) => unitRow(unit, fleet));

describe("the address of a table of units", () => {
  it("says only what differs from the plain table", () => {
    assert.equal(fleetAddress({}), "/units");
    assert.equal(fleetAddress({ sort: "chance", page: 1 }), "/units");
    assert.equal(
      fleetAddress({ site: "Sallow Bay", state: "out", sort: "due", page: 2 }),
      "/units?site=Sallow+Bay&state=out&sort=due&page=2",
    );
  });

  it("is read back as it was written", () => {
    for (const state of STATE_FILTERS) {
      for (const [i, sort] of SORT_KEYS.entries()) {
        const pattern = PATTERN_FILTERS[i]!;
        const query = { site: "A & B/ü", state, pattern, sort, turned: i % 2 === 0, page: 3 };
        const words = new URL(fleetAddress(query), "http://x").searchParams;
        assert.deepEqual(readFleetQuery(Object.fromEntries(words)), query);
      }
    }
  });

  it("names what there is where a value is unknown", () => {
    const refused = (query: Record<string, unknown>, names: RegExp): void =>
      assert.throws(
        () => readFleetQuery(query),
        (error) => error instanceof HttpError && error.status === 400 && names.test(error.wayOut),
      );
    refused({ state: "broken" }, /heading-out/);
    refused({ sort: "colour" }, /chance, due/);
    refused({ page: "0" }, /page/);
    refused({ page: "2.5" }, /page/);
  });

  it("takes the first of nothing where a value is given twice", () => {
    assert.equal(readFleetQuery({ site: ["a", "b"] }).site, null);
  });
});

describe("choosing units", () => {
  const plainQuery = readFleetQuery({});

  it("keeps the likeliest first unless told otherwise", () => {
    assert.deepEqual(selectUnits(rows, plainQuery), rows);
  });

  it("filters by site and state together", () => {
    const chosen = selectUnits(rows, { ...plainQuery, site: "Weir End", state: "at-risk" });
    assert.ok(chosen.length > 0);
    for (const row of chosen) {
      assert.equal(row.site, "Weir End");
      assert.ok(row.state === "out" || row.state === "heading-out");
    }
  });

  it("filters by what a unit does", () => {
    const chosen = selectUnits(rows, { ...plainQuery, pattern: "span" });
    assert.ok(chosen.length > 0);
    assert.deepEqual(
      chosen,
      rows.filter((row) => row.pattern === "span"),
    );
  });

  it("turns any order round", () => {
    for (const sort of SORT_KEYS) {
      const query = { ...plainQuery, sort };
      assert.deepEqual(selectUnits(rows, { ...query, turned: true }), selectUnits(rows, query).reverse());
    }
  });

  it("sorts by due date with missing dates last", () => {
    const undated = rows.map((row, i) => (i % 7 === 0 ? { ...row, dueDay: null } : row));
    const days = selectUnits(undated, { ...plainQuery, sort: "due" }).map((row) => row.dueDay ?? Infinity);
    assert.deepEqual(
      days,
      [...days].sort((a, b) => (a < b ? -1 : a > b ? 1 : 0)),
    );
  });

  it("sorts names by their numbers", () => {
    const names = ["V-10", "V-9", "V-100"].map((instrument) => ({ ...rows[0]!, instrument }));
    assert.deepEqual(
      selectUnits(names, { ...plainQuery, sort: "unit" }).map((row) => row.instrument),
      ["V-9", "V-10", "V-100"],
    );
  });

  it("puts the longest unchecked first, never checked before all", () => {
    const [first] = selectUnits(rows, { ...plainQuery, sort: "checked" });
    assert.equal(first!.lastCheckDay, null);
  });
});

describe("the pages of the table", () => {
  it("hold every unit once", () => {
    const { pages } = unitsPage(fleet, readFleetQuery({}));
    const seen = Array.from({ length: pages }, (_, i) =>
      unitsPage(fleet, readFleetQuery({ page: String(i + 1) })),
    )
      .flatMap((page) => page.rows)
      .map((row) => row.instrument);
    assert.equal(new Set(seen).size, 120);
    assert.equal(seen.length, 120);
  });

  it("end: past the last one is not found", () => {
    assert.throws(
      () => unitsPage(fleet, readFleetQuery({ page: "99" })),
      (error) => error instanceof HttpError && error.status === 404,
    );
  });

  it("do not exist for a site that is not there", () => {
    assert.throws(
      () => unitsPage(fleet, readFleetQuery({ site: "Nowhere" })),
      (error) => error instanceof HttpError && error.status === 404 && /Ashmere/.test(error.wayOut),
    );
  });
});
