import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { runNotes } from "../../../analysis/watch/run-notes.ts";

const days = (n: number) => Array.from({ length: n }, (_, i) => 100 + 7 * i);

describe("runNotes", () => {
  it("makes one note of neighbouring checks that meet one rule, by the day it began to be met", () => {
    const scores = [0.1, -0.2, 0.1, 3.2, 3.5, -0.1, 3.4];
    const beyond = runNotes(days(7), scores).filter(({ rule }) => rule === 1);
    assert.deepEqual(beyond, [
      { rule: 1, onDay: 121, checks: 2 },
      { rule: 1, onDay: 142, checks: 1 },
    ]);
  });

  it("finds nothing in few or quiet checks", () => {
    assert.deepEqual(runNotes([], []), []);
    assert.deepEqual(runNotes(days(6), [0.5, -1.2, 0.3, -0.4, 1.1, -0.2]), []);
  });
});
