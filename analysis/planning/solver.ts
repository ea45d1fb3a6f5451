import loadHighs, { type Highs } from "highs";

// The package's types describe its CommonJS form, where the loader is a property; the module that runs exports it.
const load = loadHighs as unknown as typeof loadHighs.default;

let loading: Promise<Highs> | null = null;

/** The mixed-integer solver HiGHS, compiled from the package's own file at the first call and kept. */
export function loadSolver(): Promise<Highs> {
  loading ??= load();
  return loading;
}
