import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { dayOfIso } from "../../../dashboard/assessment/days.ts";
import { withRecords } from "../../../dashboard/assessment/out-findings.ts";
import type { OutFinding } from "../../../ingest/index.ts";

const AT_MS = Date.parse("2026-04-01T12:00:00Z");

const record = (id: number, foundOn: string, openedAtMs = AT_MS - 1000): OutFinding => ({
  id,
  instrument: "U-1",
  foundOn,
  openedAtMs,
  by: "R. Quality",
  why: "seen",
  window: "{}",
  decisions: [{ decidedAtMs: openedAtMs, by: "R. Quality", decision: "no-effect", why: "measured again" }],
});

const found = (servicedOn: string | null, foundOn: string) => ({
  found: {
    instrument: "U-1",
    site: null,
    servicedDay: servicedOn === null ? null : dayOfIso(servicedOn),
    lifeFromDay: servicedOn === null ? dayOfIso("2025-06-01") : null,
    foundDay: dayOfIso(foundOn),
    worst: 1.3,
  },
});

describe("which record belongs to a finding", () => {
  const numberOf = (finding: ReturnType<typeof found>, records: readonly OutFinding[], untilMs = AT_MS) =>
    withRecords([finding], records, untilMs)[0]!.record?.id ?? null;

  it("one of the present life stays with it while new checks come", () => {
    assert.equal(numberOf(found(null, "2026-03-30"), [record(1, "2026-02-10")]), 1);
  });

  it("a closed one of an earlier life closes nothing of the present one", () => {
    const [finding] = withRecords([found(null, "2026-03-30")], [record(1, "2025-06-01")], AT_MS);
    assert.deepEqual([finding!.record, finding!.isClosed], [null, false]);
  });

  it("that of a service is of its very day", () => {
    assert.equal(numberOf(found("2025-06-01", "2025-06-01"), [record(1, "2025-06-01")]), 1);
    assert.equal(numberOf(found("2025-06-01", "2025-06-01"), [record(1, "2025-05-20")]), null);
  });

  it("is not known before it was made", () => {
    assert.equal(numberOf(found(null, "2026-03-30"), [record(1, "2026-02-10")], AT_MS - 2000), null);
  });
});
