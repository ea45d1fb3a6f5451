import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { namePattern, type PatternEvidence } from "../../../analysis/patterns/name-pattern.ts";

const evidence = (given: Partial<PatternEvidence>): PatternEvidence => ({
  explanations: [{ drift: null, hasStep: false, weight: 1 }],
  stepOverTolerance: 0,
  standing: [],
  scatterOverTypical: 1,
  scatterLogSd: 0,
  ...given,
});

describe("the pattern of a unit", () => {
  it("is none for a sound unit", () => {
    assert.deepEqual(namePattern(evidence({})), { name: "none", strength: 1 });
  });

  it("is what drifts, with the weight of all explanations that say so", () => {
    const explanations = [
      { drift: "span", hasStep: false, weight: 0.4 },
      { drift: "acceleration", hasStep: true, weight: 0.3 },
      { drift: null, hasStep: false, weight: 0.3 },
    ] as const;
    const { name, strength } = namePattern(evidence({ explanations }));
    assert.equal(name, "span");
    assert.ok(Math.abs(strength - 0.7) < 1e-12);
  });

  it("is a step only where the step is worth naming", () => {
    const explanations = [{ drift: null, hasStep: true, weight: 1 }];
    assert.equal(namePattern(evidence({ explanations, stepOverTolerance: 0.5 })).name, "step");
    assert.equal(namePattern(evidence({ explanations, stepOverTolerance: 0.1 })).name, "none");
  });

  it("is scatter where nothing else is and readings scatter twice as much as usual", () => {
    assert.deepEqual(namePattern(evidence({ scatterOverTypical: 2 })), { name: "scatter", strength: 0.75 });
    assert.equal(namePattern(evidence({ scatterOverTypical: 1.9 })).name, "none");
    const explanations = [{ drift: "zero", hasStep: false, weight: 1 }] as const;
    assert.equal(namePattern(evidence({ explanations, scatterOverTypical: 3 })).name, "zero");
  });

  it("is no scatter where units of the fleet differ that much anyway", () => {
    assert.equal(namePattern(evidence({ scatterOverTypical: 2.3, scatterLogSd: 0.35 })).name, "none");
    assert.equal(namePattern(evidence({ scatterOverTypical: 2.5, scatterLogSd: 0.35 })).name, "scatter");
  });

  it("is what stands far off though nothing moves, where that is sure", () => {
    const standing = (overTolerance: number, sd: number) => [
      { name: "zero" as const, overTolerance: 0.1, sd: 0.05 },
      { name: "span" as const, overTolerance, sd },
    ];
    assert.equal(namePattern(evidence({ standing: standing(-0.8, 0.05) })).name, "span");
    assert.equal(namePattern(evidence({ standing: standing(-0.8, 0.4) })).name, "none");
    assert.equal(namePattern(evidence({ standing: standing(0.5, 0.01) })).name, "none");
    const explanations = [{ drift: "zero", hasStep: false, weight: 1 }] as const;
    assert.equal(namePattern(evidence({ explanations, standing: standing(0.9, 0.01) })).name, "zero");
  });

  it("has a strength of at most 1, whatever the rounding", () => {
    const explanations = Array.from({ length: 10 }, () => ({
      drift: null,
      hasStep: false,
      weight: 0.1 + 1e-16,
    }));
    assert.ok(namePattern(evidence({ explanations })).strength <= 1);
  });
});
