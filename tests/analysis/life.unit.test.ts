import assert from "node:assert/strict";
import { describe, it } from "vitest";
import type { Service, Stage } from "../../analysis/fleet.ts";
import { cutLives } from "../../analysis/life.ts";
import { unitReadings } from "../support/unit-readings.ts";

const adjusted = (day: number): Service => ({ day, action: "adjusted" });

/** The life of each reading, as indices. */
function livesOf(rows: readonly (readonly [number, Stage?])[], services: readonly Service[]): number[] {
  const lives = cutLives(
    unitReadings(rows.map(([day, stage]) => ({ day, ...(stage && { stage }) }))),
    services,
  );
  const result = new Array<number>(rows.length).fill(-1);
  for (const [k, life] of lives.entries()) for (const i of life.readings) result[i] = k;
  return result;
}

describe("cutLives", () => {
  it("is one life without services", () => {
    const lives = cutLives(unitReadings([{ day: 1 }, { day: 2 }]), []);
    assert.deepEqual(lives, [{ fromDay: null, toDay: null, startedBy: null, readings: Int32Array.of(0, 1) }]);
  });

  it("names where each life begins and ends, and keeps lives without readings", () => {
    const services = [adjusted(200), { day: 100, action: "repaired" } as const];
    const lives = cutLives(unitReadings([{ day: 50 }]), services);
    assert.deepEqual(
      lives.map(({ fromDay, toDay, startedBy, readings }) => [fromDay, toDay, startedBy, readings.length]),
      [
        [null, 100, null, 1],
        [100, 200, "repaired", 0],
        [200, null, "adjusted", 0],
      ],
    );
  });

  it("does not end a life at an inspection", () => {
    assert.deepEqual(livesOf([[1], [3]], [{ day: 2, action: "inspected" }]), [0, 0]);
  });

  const onTheDay: readonly [string, readonly (readonly [number, Stage?])[], readonly number[]][] = [
    [
      "as found and as left",
      [
        [10.4, "as_found"],
        [10.8, "as_left"],
      ],
      [0, 1],
    ],
    [
      "as left noted before as found",
      [
        [10.2, "as_left"],
        [10.9, "as_found"],
      ],
      [1, 0],
    ],
    ["routine before the service's checks", [[10.1], [10.4, "as_found"], [10.8, "as_left"]], [0, 0, 1]],
    ["routine after as left", [[10.8, "as_left"], [10.9]], [1, 1]],
    ["routine alone on the day", [[10.9]], [0]],
    [
      "as found the morning after, by UTC",
      [
        [11.05, "as_found"],
        [11.3, "as_left"],
      ],
      [0, 1],
    ],
    ["as left late on the day before, by UTC", [[9.95, "as_left"]], [1]],
    [
      "as left a day later",
      [
        [10.4, "as_found"],
        [11.4, "as_left"],
      ],
      [0, 1],
    ],
    ["as found without its service", [[15, "as_found"]], [1]],
    ["days apart", [[8, "as_left"], [9], [11], [12, "as_left"]], [0, 0, 1, 1]],
  ];
  for (const [name, rows, expected] of onTheDay) {
    it(`decides by the stage on the day of the service: ${name}`, () => {
      assert.deepEqual(livesOf(rows, [adjusted(10)]), expected);
    });
  }

  it("tells services on two days in a row apart", () => {
    const rows = [
      [10.3, "as_found"],
      [10.8, "as_left"],
      [11.3, "as_found"],
      [11.8, "as_left"],
    ] as const;
    assert.deepEqual(livesOf(rows, [adjusted(10), adjusted(11)]), [0, 1, 1, 2]);
  });

  it("counts two services on one day as one", () => {
    assert.deepEqual(livesOf([[9], [11]], [adjusted(10), adjusted(10.5)]), [0, 1]);
  });
});
