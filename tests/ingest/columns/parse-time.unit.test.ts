import assert from "node:assert/strict";
import { Settings } from "luxon";
import { describe, it, onTestFinished } from "vitest";
import { ISO_IN_UTC, TimeReader } from "../../../ingest/columns/parse-time.ts";

const isoOf = (reader: TimeReader, text: string) => {
  const instant = reader.instantOf(text);
  return Number.isNaN(instant) ? null : new Date(instant).toISOString();
};

describe("TimeReader by ISO 8601", () => {
  const reader = new TimeReader(ISO_IN_UTC);

  it("reads instants with and without offset, and days", () => {
    assert.equal(isoOf(reader, "2024-05-03T10:15:00Z"), "2024-05-03T10:15:00.000Z");
    assert.equal(isoOf(reader, "2024-05-03T10:15:00+02:00"), "2024-05-03T08:15:00.000Z");
    assert.equal(isoOf(reader, "2024-05-03 10:15"), "2024-05-03T10:15:00.000Z");
    assert.equal(isoOf(reader, "20240503T101500Z"), "2024-05-03T10:15:00.000Z");
    assert.equal(isoOf(reader, "2024-05-03"), "2024-05-03T00:00:00.000Z");
    assert.equal(reader.dayOf("2024-05-03"), "2024-05-03");
  });

  it("does not read what is no full date, or a date that does not exist", () => {
    for (const text of [
      "2024",
      "2024-05",
      "2024-02-30",
      "2023-02-29",
      "2024-13-01",
      "2024-05-03T25:00",
      "2023-02-29T10:15:00Z",
      "2024-05-03T10:61:00Z",
      "03.05.2024",
      "soon",
    ]) {
      assert.equal(isoOf(reader, text), null, text);
      assert.equal(reader.dayOf(text), null, text);
    }
  });
});

describe("TimeReader in a site's own zone and format", () => {
  const reader = new TimeReader({ zone: "Europe/Berlin", format: "dd.MM.yyyy HH:mm:ss" });

  it("tells summer from winter", () => {
    assert.equal(isoOf(reader, "15.01.2024 10:00:00"), "2024-01-15T09:00:00.000Z");
    assert.equal(isoOf(reader, "15.07.2024 10:00:00"), "2024-07-15T08:00:00.000Z");
  });

  it("does not read the hour that spring leaves out, and takes the first of the two in autumn", () => {
    assert.equal(isoOf(reader, "31.03.2024 02:30:00"), null);
    const realNow = Settings.now;
    onTestFinished(() => {
      Settings.now = realNow;
    });
    for (const season of ["2026-01-15", "2026-07-15"]) {
      Settings.now = () => Date.parse(season);
      const fresh = new TimeReader({ zone: "Europe/Berlin", format: "dd.MM.yyyy HH:mm:ss" });
      assert.equal(isoOf(fresh, "27.10.2024 02:30:00"), "2024-10-27T00:30:00.000Z", season);
    }
  });

  it("still reads ISO 8601, where an offset outweighs the zone", () => {
    assert.equal(isoOf(reader, "2024-07-15T10:00:00"), "2024-07-15T08:00:00.000Z");
    assert.equal(isoOf(reader, "2024-03-31T02:30:00Z"), "2024-03-31T02:30:00.000Z");
  });

  it("reads days without a time of day", () => {
    assert.equal(reader.dayOf("15.07.2024"), "2024-07-15");
    assert.equal(reader.dayOf("15.07.2024 23:30:00"), "2024-07-15");
    assert.equal(reader.dayOf("2024-07-15"), "2024-07-15");
  });

  it("does not read another format", () => {
    assert.equal(isoOf(reader, "07/15/2024 10:00:00"), null);
    assert.equal(isoOf(reader, "31.04.2024 10:00:00"), null);
  });
});
