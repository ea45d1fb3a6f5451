import assert from "node:assert/strict";
import { describe, it } from "vitest";
import type { ScoredForecast } from "../../../analysis/drift/back-test.ts";
import { failuresIn, livesIn, recordClasses } from "../../../analysis/drift/record-classes.ts";
import { assertClose } from "../../support/close.ts";

function forecast(instrument: string, p: number, wentOut: boolean, madeOnDay = 0): ScoredForecast {
  return {
    instrument,
    madeOnDay,
    serviceDay: 300,
    p,
    plain: null,
    wentOut,
    foundOnDay: wentOut ? 200 : null,
  };
}

describe("recordClasses", () => {
  it("counts units by what they were given, ends of classes included below and at 1", () => {
    const rows = recordClasses([
      forecast("A", 0, false),
      forecast("B", 0.01, false),
      forecast("C", 0.2, true),
      forecast("D", 0.399, false),
      forecast("E", 1, true),
    ]);
    assert.deepEqual(
      rows.map(({ from, to, units, wentOut }) => [from, to, units, wentOut]),
      [
        [0, 0.01, 1, 0],
        [0.01, 0.05, 1, 0],
        [0.2, 0.4, 2, 1],
        [0.95, 1, 1, 1],
      ],
    );
    assertClose(rows[2]!.expected, 0.599, 1e-12);
  });

  it("counts a unit's service once a class, by its first forecast there, and in every class it passed", () => {
    const rows = recordClasses([
      forecast("A", 0.35, true, 60),
      forecast("A", 0.25, true, 30),
      forecast("A", 0.7, true, 90),
      { ...forecast("A", 0.3, false, 400), serviceDay: 700 },
    ]);
    assert.deepEqual(
      rows.map(({ units, wentOut }) => [units, wentOut]),
      [
        [2, 1],
        [1, 1],
      ],
    );
    assertClose(rows[0]!.expected, 0.55, 1e-12);
    const all = [forecast("A", 0.1, true), forecast("A", 0.9, true), forecast("B", 0.1, false)];
    assert.deepEqual([failuresIn(all), livesIn(all)], [1, 2]);
  });

  it("tells how far chance explains what came, each unit with its own probability", () => {
    // Two units given 0.25 and 0.35: none with 0.4875, both with 0.0875.
    const [none] = recordClasses([forecast("A", 0.25, false), forecast("B", 0.35, false)]);
    assertClose(none!.chance, 2 * 0.4875, 1e-12);
    const [both] = recordClasses([forecast("A", 0.25, true), forecast("B", 0.35, true)]);
    assertClose(both!.chance, 2 * 0.0875, 1e-12);
    // Binomial: 10 or more of 20 with 0.3 has probability 0.0480 (tables of the binomial distribution, from memory).
    const twenty = Array.from({ length: 20 }, (_, i) => forecast(`U${i}`, 0.3, i < 10));
    assertClose(recordClasses(twenty)[0]!.chance / 2, 0.048, 5e-4);
  });

  it("of nothing is empty", () => {
    assert.deepEqual(recordClasses([]), []);
  });
});
