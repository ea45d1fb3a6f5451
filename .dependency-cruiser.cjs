/** One direction of imports: ingest and analysis know nothing of each other; only the dashboard joins them. */
module.exports = {
  forbidden: [
    {
      name: "no-cycles",
      severity: "error",
      from: {},
      to: { circular: true, viaOnly: { dependencyTypesNot: ["type-only"] } },
    },
    {
      name: "analysis-is-pure",
      severity: "error",
      comment: "numbers in, plain objects out: no files, no clock, no network",
      from: { path: "^analysis" },
      to: { path: "^(ingest|dashboard|tests)|^express|^kysely", dependencyTypesNot: ["npm-dev"] },
    },
    {
      name: "analysis-uses-no-node",
      severity: "error",
      from: { path: "^analysis" },
      to: { dependencyTypes: ["core"] },
    },
    {
      name: "ingest-stands-alone",
      severity: "error",
      from: { path: "^ingest" },
      to: { path: "^(analysis|dashboard|tests)" },
    },
    {
      name: "rooms-are-entered-by-their-door",
      severity: "error",
      comment: "dashboard takes from ingest/index.ts and analysis/index.ts",
      from: { path: "^dashboard" },
      to: { path: "^(ingest|analysis)/", pathNot: "^(ingest|analysis)/index\\.ts$|^analysis/rollup\\.ts$" },
    },
    {
      name: "sqlite-in-one-place",
      severity: "error",
      from: { pathNot: "^ingest/store/" },
      to: { path: "^(node:)?sqlite$" },
    },
    {
      name: "tables-in-one-place",
      severity: "error",
      from: { pathNot: "^analysis/rollup\\.ts$" },
      to: { path: "danfojs-node" },
    },
    {
      name: "not-to-unresolvable",
      severity: "error",
      from: {},
      to: { couldNotResolve: true, pathNot: "^node:" },
    },
  ],
  options: {
    doNotFollow: { path: "node_modules" },
    tsPreCompilationDeps: true,
    tsConfig: { fileName: "tsconfig.json" },
    enhancedResolveOptions: {
      exportsFields: ["exports"],
      conditionNames: ["import", "node", "default"],
      extensions: [".ts", ".mjs", ".js"],
    },
  },
};
