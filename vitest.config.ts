import { defineConfig } from "vitest/config";

export default defineConfig({
  test: {
    include: ["tests/**/*.test.ts"],
    globalSetup: ["tests/support/global-setup.ts"],
    testTimeout: 60_000,
    hookTimeout: 120_000,
    // Two cores are the usual machine; the browser tests hold one of them.
    maxWorkers: 2,
    env: { TZ: "UTC" },
  },
});
