import assert from "node:assert/strict";
import { createRequire } from "node:module";
import { cruise, type ICruiseOptions, type ICruiseResult, type IFlattenedRuleSet } from "dependency-cruiser";
import extractTSConfig from "dependency-cruiser/config-utl/extract-ts-config";
import { describe, it } from "vitest";

const ROOMS = ["ingest", "analysis", "dashboard"];
const config = createRequire(import.meta.url)("../../.dependency-cruiser.cjs") as {
  forbidden: NonNullable<IFlattenedRuleSet["forbidden"]>;
  options: ICruiseOptions;
};

async function violations(forbidden: NonNullable<IFlattenedRuleSet["forbidden"]>): Promise<string[]> {
  const { output } = await cruise(
    ROOMS,
    { ...config.options, ruleSet: { forbidden }, validate: true },
    config.options.enhancedResolveOptions,
    { tsConfig: extractTSConfig("tsconfig.json") },
  );
  return (output as ICruiseResult).summary.violations.map(
    ({ from, to, rule }) => `${rule.name}: ${from} -> ${to}`,
  );
}

describe("imports", () => {
  it("go one way: ingest and analysis know nothing of each other, the dashboard joins them", async () => {
    assert.deepEqual(await violations(config.forbidden), []);
  });

  it("are seen by the rules: a rule against an import that is there finds it", async () => {
    const found = await violations([
      {
        name: "planted",
        severity: "error",
        from: { path: "^dashboard/demo/unit-plan\\.ts$" },
        to: { path: "^analysis/index\\.ts$" },
      },
    ]);
    assert.deepEqual(found, ["planted: dashboard/demo/unit-plan.ts -> analysis/index.ts"]);
  });
});
