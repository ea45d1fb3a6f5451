import assert from "node:assert/strict";
import { describe, it } from "vitest";
import {
  alarmBudget,
  cusumInterval,
  dispersionInterval,
  ewmaLimit,
  individualsLimit,
} from "../../../analysis/control-charts/alarm-limits.ts";
import { cusumChart } from "../../../analysis/control-charts/cusum.ts";
import { dispersionChart, dispersionRunLength } from "../../../analysis/control-charts/dispersion.ts";
import { ewmaChart } from "../../../analysis/control-charts/ewma.ts";
import {
  cusumRunLength,
  ewmaRunLength,
  individualsRunLength,
} from "../../../analysis/control-charts/run-length.ts";
import { assertClose } from "../../support/close.ts";
import { seededRandom } from "../../support/random.ts";

/** Values up to the first signal, on average over runs. */
function simulatedRunLength(
  runs: number,
  seed: number,
  sd: number,
  shift: number,
  firstSignal: (values: number[]) => number,
) {
  const random = seededRandom(seed);
  let total = 0;
  for (let run = 0; run < runs; run++) {
    // Ten times the run length sought: no run ends unsignalled in practice, and one that did would show.
    const at = firstSignal(Array.from({ length: 600 }, () => shift + sd * random.normal()));
    total += at < 0 ? 600 : at + 1;
  }
  return total / runs;
}

describe("run lengths are what the charts do", () => {
  // Run lengths scatter about as much as their mean: 600 runs give 4 %, three times that is 12 %.
  const RUNS = 600;
  const WITHIN = 0.12;
  const assertNear = (got: number, expected: number) => assertClose(got / expected, 1, WITHIN);

  it("EWMA, with exact and with asymptotic limits", () => {
    for (const limits of ["exact", "asymptotic"] as const) {
      const design = { centre: 0, sigma: 1, weight: 0.2, limitSigma: 2.2, limits };
      const got = simulatedRunLength(RUNS, 1, 1, 0, (v) => ewmaChart(v, design).findIndex((p) => p.beyond));
      assertNear(got, ewmaRunLength({ weight: 0.2, limitSigma: 2.2, limits }));
    }
  });

  it("CUSUM after a shift", () => {
    const design = { target: 0, allowance: 0.5, decisionInterval: 5 };
    const got = simulatedRunLength(RUNS, 2, 1, 0.5, (v) => cusumChart(v, design).signals[0]?.at ?? -1);
    assertNear(got, cusumRunLength(design, 0.5));
  });

  it("scatter, in control and not", () => {
    for (const [sd, interval] of [
      [1, 5],
      [1.5, 12.2],
    ] as const) {
      const got = simulatedRunLength(RUNS, 3, sd, 0, (v) =>
        dispersionChart(v, interval).findIndex((p) => p.beyond),
      );
      assertNear(got, dispersionRunLength(interval, sd));
    }
  });
});

describe("run length of the scatter chart", () => {
  it("holds the digits it promises", () => {
    // From pieces a fifth as wide, the squared error taken out in the same way.
    for (const [interval, expected] of [
      [12.2, 504.955],
      [17, 2016.859],
      [22.7, 10_006.9],
    ] as const) {
      assertClose(dispersionRunLength(interval) / expected, 1, 2.5e-4);
    }
  });
});

describe("limits", () => {
  it("give back the run length that they were asked for", () => {
    for (const runLength of [2, 370, 50_000]) {
      assertClose(individualsRunLength(individualsLimit(runLength)) / runLength, 1, 1e-9);
      assertClose(ewmaRunLength({ weight: 0.1, limitSigma: ewmaLimit(0.1, runLength) }) / runLength, 1, 1e-8);
      const decisionInterval = cusumInterval(0.5, runLength);
      assertClose(cusumRunLength({ allowance: 0.5, decisionInterval }) / runLength, 1, 1e-8);
    }
    assertClose(dispersionRunLength(dispersionInterval(800)) / 800, 1, 1e-8);
  });

  it("are the individuals limit for an EWMA of weight 1", () => {
    assertClose(ewmaLimit(1, 370.4), individualsLimit(370.4), 1e-6);
  });

  it("hold the fleet's budget between one and ten alarms a month", () => {
    assert.equal(alarmBudget(5, 6, 4, 1).falseAlarmsPerMonth, 1);
    assert.equal(alarmBudget(50_000, 6, 4, 1).falseAlarmsPerMonth, 10);
    assert.equal(alarmBudget(300, 6, 4, 1).falseAlarmsPerMonth, 3);
  });

  it("name an argument that cannot be", () => {
    assert.throws(() => alarmBudget(0, 6, 4, 1), /units must be above 0/);
    assert.throws(() => individualsLimit(1), /runLength must be above 1/);
    assert.throws(() => ewmaLimit(0.2, Number.POSITIVE_INFINITY), RangeError);
    assert.throws(() => ewmaRunLength({ weight: 1.5, limitSigma: 3 }), /weight must be at most 1/);
    assert.throws(
      () => cusumRunLength({ allowance: -1, decisionInterval: 4 }),
      /allowance must be 0 or more/,
    );
    assert.throws(() => dispersionRunLength(0), RangeError);
    assert.throws(() => dispersionChart([1], 5, 1), /ratio must be above 1/);
  });
});
