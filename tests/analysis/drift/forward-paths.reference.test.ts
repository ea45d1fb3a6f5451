import { describe, it } from "vitest";
import { PARAMETERS, RATE } from "../../../analysis/drift/components.ts";
import { simulateForward } from "../../../analysis/drift/forward-paths.ts";
import type { UnitState } from "../../../analysis/drift/present-state.ts";
import { againstSource } from "../../support/reference-table.ts";

/** Zero error and its rate, all else without doubt. */
function zeroState(level: number, rate: number, covariance: readonly [number, number, number]): UnitState {
  const state = { mean: new Float64Array(PARAMETERS), covariance: new Float64Array(PARAMETERS ** 2) };
  for (let p = 0; p < PARAMETERS; p++) state.covariance[p * PARAMETERS + p] = 1e-18;
  state.mean[0] = level;
  state.mean[RATE] = rate;
  state.covariance[0]! += covariance[0];
  state.covariance[RATE] = state.covariance[RATE * PARAMETERS] = covariance[1];
  state.covariance[RATE * PARAMETERS + RATE]! += covariance[2];
  return state;
}

function chanceToLeave(
  state: UnitState,
  wander: number,
  limit: number,
  years: number,
  paths: number,
): number {
  const model = {
    bands: { torque: [0], tolerance: [limit] },
    wander: [wander, 0, 0, 0],
    stepsPerYear: 0,
    stepZero: 0,
    stepSpan: 0,
  };
  const times = Float64Array.from({ length: 13 }, (_, i) => (years * i) / 12);
  return simulateForward(state, model, times, paths, 1).outBy[12]!;
}

describe("simulated paths against first-passage formulas", () => {
  const paths = 20_000;
  // Three standard errors of a share p over the paths.
  const within = (p: number) => ({ absolute: 3 * Math.sqrt((p * (1 - p)) / paths) });

  it("level and rate in doubt: Peng and Tseng's formula averaged over the level", () => {
    const state = zeroState(0.4941624, 0.5871924, [0.032174, 0.039052, 0.143478]);
    for (const [limit, expected] of [
      [1.5, 0.010321],
      [1, 0.227346],
    ] as const) {
      const got = chanceToLeave(state, 0.05, limit, 0.4, paths);
      againstSource(
        "chance to leave a limit",
        "Peng and Tseng 2009, by quadrature",
        expected,
        got,
        within(expected),
      );
    }
  });

  it("a known rate: the inverse Gaussian distribution", () => {
    const got = chanceToLeave(zeroState(0, 1, [1e-18, 0, 1e-18]), 0.25, 1.5, 1, paths);
    againstSource(
      "first passage, rate known",
      "inverse Gaussian distribution",
      0.205309,
      got,
      within(0.205309),
    );
  });

  it("a rate in doubt", () => {
    const got = chanceToLeave(zeroState(0, 1, [1e-18, 0, 0.09]), 0.25, 1.5, 1, paths);
    againstSource("first passage, rate in doubt", "Peng and Tseng 2009", 0.239465, got, within(0.239465));
  });
});
