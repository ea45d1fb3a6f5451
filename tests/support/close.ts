import assert from "node:assert/strict";

/** Fails unless `actual` is within `relative` of `expected`, or within `relative` itself where that is below 1. */
export function assertClose(actual: number, expected: number, relative: number): void {
  const allowed = relative * Math.max(1, Math.abs(expected));
  assert.ok(Math.abs(actual - expected) <= allowed, `${actual} is not within ${allowed} of ${expected}`);
}
