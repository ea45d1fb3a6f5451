import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { patternText } from "../../../dashboard/wording/evidence.ts";

const step = (zero: number, span: number) => ({ betweenDays: [20000, 20007], zero, span }) as const;
const said = (...steps: ReturnType<typeof step>[]) =>
  patternText({ pattern: { name: "step", strength: 0.9 }, steps });

describe("what a step pattern is said to mean", () => {
  it("has stayed where there was one step", () => {
    assert.match(said(step(0.5, 1)), /moved at once and has stayed there since/);
  });

  it("came back where two steps take each other back, and is not said to have stayed", () => {
    const text = said(step(0.5, 1), step(-0.45, -0.9));
    assert.match(text, /later came back/);
    assert.doesNotMatch(text, /stayed/);
  });

  it("moved more than once where they do not", () => {
    assert.match(said(step(0.5, 1), step(0.2, 0.4)), /at once, two times/);
  });

  it("keeps its hedge where it is not settled", () => {
    const text = patternText({ pattern: { name: "step", strength: 0.5 }, steps: [step(0.5, 1)] });
    assert.match(text, /^Not settled, but likeliest: the error moved/);
  });
});
