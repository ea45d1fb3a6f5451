#!/usr/bin/env node
// The `springtide` command. The program is TypeScript that Node 24 runs as it stands; where an older Node started
// this file, it starts itself again under the Node 24 that the lock file pins.
import { spawn } from "node:child_process";
import { existsSync } from "node:fs";
import { fileURLToPath } from "node:url";

const NEEDED = [24, 15];
const here = fileURLToPath(import.meta.url);

function isRecentEnough(version) {
  const [major, minor] = version.split(".").map(Number);
  return major > NEEDED[0] || (major === NEEDED[0] && minor >= NEEDED[1]);
}

function pinnedNode() {
  const platform = process.platform === "win32" ? "win" : process.platform;
  const program = process.platform === "win32" ? "node.exe" : "node";
  return fileURLToPath(
    new URL(`../node_modules/node-${platform}-${process.arch}/bin/${program}`, import.meta.url),
  );
}

if (isRecentEnough(process.versions.node)) {
  const { main } = await import("./main.ts");
  process.exitCode = await main(process.argv.slice(2));
} else if (existsSync(pinnedNode())) {
  const child = spawn(pinnedNode(), [here, ...process.argv.slice(2)], { stdio: "inherit" });
  for (const signal of ["SIGINT", "SIGTERM", "SIGHUP"]) process.on(signal, () => child.kill(signal));
  child.on("exit", (code, signal) => {
    process.exitCode = code ?? (signal ? 1 : 0);
  });
} else {
  console.error(
    `springtide needs Node ${NEEDED.join(".")} or newer and found ${process.versions.node}: run "npm ci" in the project's folder, or install Node 24`,
  );
  process.exitCode = 1;
}
