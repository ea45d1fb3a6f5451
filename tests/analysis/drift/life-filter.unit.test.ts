import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { curvatureLoading, frictionLoading, PARAMETERS } from "../../../analysis/drift/components.ts";
import { JointColumns } from "../../../analysis/drift/joint-columns.ts";
import { type LifeChecks, withoutShared } from "../../../analysis/drift/life-checks.ts";
import {
  type LifeEvents,
  LifeFilter,
  type LifeNoise,
  NO_EVENTS,
  SHARED_ERROR,
  STATE,
} from "../../../analysis/drift/life-filter.ts";
import { LifeSmoother } from "../../../analysis/drift/life-smoother.ts";
import { ownInformation } from "../../../analysis/drift/own-posterior.ts";
import { assertClose } from "../../support/close.ts";
import { seededRandom } from "../../support/random.ts";
import { bilinear, denseInverse, denseLogDeterminant } from "./dense.ts";
import { madeLife, madeNoise } from "./made-life.ts";

const noise = madeNoise({
  repeatability: 0.03,
  proportional: 0.04,
  temperature: 0.001,
  wander: [0.02, 0.05, 0.01, 0.3],
});

function randomLife(seed: number): LifeChecks {
  const random = seededRandom(seed);
  return madeLife(
    Array.from({ length: 7 }, (_, k) => ({
      year: 0.05 + 0.13 * k,
      coefficient: k < 4 ? -2 : -6,
      readings: Array.from({ length: 1 + (k % 3) }, (_, b): [number, number] => [
        0.15 + 0.3 * b + 0.1 * random.uniform(),
        random.normal(),
      ]),
      effects: [
        [k < 4 ? 11 : 12, 1],
        [20, k < 4 ? -2 : -6],
      ],
    })),
  );
}

/** Covariance of the used readings as the model states it, term by term. */
function covarianceOf(life: LifeChecks, { wander, ...n }: LifeNoise, events: LifeEvents): number[][] {
  const rows = usedRows(life, events);
  const stepsBefore = (k: number) => events.stepBefore.filter((step) => step <= k).length;
  return rows.map((a) =>
    rows.map((b) => {
      const early = a.year < b.year ? a : b;
      let sum = 0;
      for (let c = 0; c < 4; c++) sum += a.h[c]! * b.h[c]! * wander[c]! * early.year;
      sum += stepsBefore(early.check) * (n.stepZero + a.h[1]! * b.h[1]! * n.stepSpan);
      if (a.check === b.check) {
        const coefficient = life.coefficient[a.check]!;
        sum += a.h[1]! * b.h[1]! * (n.proportional + coefficient * coefficient * n.temperature);
      }
      return a.reading === b.reading ? sum + n.repeatability * life.varianceFactor[a.reading]! : sum;
    }),
  );
}

function usedRows(life: LifeChecks, events: LifeEvents) {
  return Array.from({ length: life.checks }, (_, check) => check).flatMap((check) => {
    const rows = [];
    for (let reading = life.firstReading[check]!; reading < life.firstReading[check + 1]!; reading++) {
      if (events.dropped.includes(reading)) continue;
      const x = life.span[reading]!;
      const h = [1, x, curvatureLoading(x), frictionLoading(x)];
      rows.push({ check, reading, year: life.year[check]!, h });
    }
    return rows;
  });
}

/** The columns of the model, one a number: the life's own nine, the error, the shared effects. */
function columnsOf(life: LifeChecks, events: LifeEvents): number[][] {
  const rows = usedRows(life, events);
  const own = Array.from({ length: PARAMETERS }, (_, p) =>
    rows.map(({ h, year }) => (p < 4 ? h[p]! : p < 8 ? h[p - 4]! * year : 0.5 * h[1]! * year * year)),
  );
  const shared = Array.from(life.effects, (_, e) =>
    rows.map(({ check, h }) => {
      let factor = 0;
      for (let i = life.effectStart[check]!; i < life.effectStart[check + 1]!; i++) {
        if (life.effect[i] === e) factor += life.factor[i]!;
      }
      return h[1]! * factor;
    }),
  );
  return [...own, rows.map(({ reading }) => life.error[reading]!), ...shared];
}

describe("the filter equals generalised least squares with the whole covariance matrix", () => {
  for (const [name, events] of [
    ["quiet", NO_EVENTS],
    ["with a step and a stray reading", { stepBefore: [3], dropped: [5] }],
  ] as const) {
    it(`products of all columns, ${name}`, () => {
      const life = randomLife(4);
      const joined = new JointColumns();
      joined.run(life, noise, events);
      const inverse = denseInverse(covarianceOf(life, noise, events));
      const columns = columnsOf(life, events);
      for (let i = 0; i < columns.length; i++) {
        for (let j = 0; j <= i; j++) {
          // 1e-9: some ten thousand roundings of numbers up to a hundred.
          assertClose(
            joined.information[(i * (i + 1)) / 2 + j]!,
            bilinear(columns[i]!, inverse, columns[j]!),
            1e-9,
          );
        }
      }
    });

    it(`log-likelihood, ${name}`, () => {
      const life = randomLife(9);
      const filter = new LifeFilter();
      filter.run(life, noise, events);
      const covariance = covarianceOf(life, noise, events);
      const error = columnsOf(life, events)[PARAMETERS]!;
      const expected =
        -0.5 *
        (error.length * Math.log(2 * Math.PI) +
          denseLogDeterminant(covariance) +
          bilinear(error, denseInverse(covariance), error));
      assertClose(ownInformation(filter).logLikelihoodAtZero, expected, 1e-10);
    });
  }

  it("a second run owes nothing to the first", () => {
    const joined = new JointColumns();
    joined.run(randomLife(1), noise, { stepBefore: [2], dropped: [0] });
    joined.run(randomLife(2), noise, NO_EVENTS);
    const fresh = new JointColumns();
    fresh.run(randomLife(2), noise, NO_EVENTS);
    assert.deepEqual(joined.information, fresh.information);
    assert.deepEqual(joined.level, fresh.level);
    assert.deepEqual(joined.covariance, fresh.covariance);
  });

  it("what was taken from the errors is put back as if it had never been taken", () => {
    const life = randomLife(6);
    const value: number[] = [];
    [0.7, -0.4, 0.05].forEach((v, e) => {
      value[life.effects[e]!] = v;
    });
    const [filter, smoother] = [new LifeFilter(), new LifeSmoother()];
    const joined = new JointColumns(filter, smoother);
    filter.run(life, noise, NO_EVENTS, withoutShared(life, value));
    smoother.run(life, filter);
    joined.join(life, value);
    const direct = new JointColumns();
    direct.run(life, noise, NO_EVENTS);
    direct.information.forEach((expected, i) => {
      assertClose(joined.information[i]!, expected, 1e-9);
    });
    direct.level.forEach((expected, i) => {
      if (i % STATE !== SHARED_ERROR) assertClose(joined.level[i]!, expected, 1e-9);
    });
  });

  it("a life without checks says nothing", () => {
    const filter = new LifeFilter();
    filter.run(madeLife([]), noise, NO_EVENTS);
    assert.ok(filter.information.every((value) => value === 0));
    assert.equal(filter.used, 0);
  });
});
