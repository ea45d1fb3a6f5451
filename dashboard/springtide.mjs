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

/**
 * What a process has to be started with: the C library keeps what ended threads had, up to gigabytes over days, unless it
 * is told to share its room and to give back what is large; and modules are compiled once, not by each thread anew.
 */
const STARTED_WITH = {
  MALLOC_ARENA_MAX: "2",
  MALLOC_MMAP_THRESHOLD_: "262144",
  MALLOC_TRIM_THRESHOLD_: "262144",
  NODE_COMPILE_CACHE: fileURLToPath(new URL("../node_modules/.cache/springtide", import.meta.url)),
};

/** Puts a process with these in the place of this one, under the same number. */
function startAnew() {
  const env = { ...STARTED_WITH, ...process.env, SPRINGTIDE_STARTED: String(process.pid) };
  process.execve(
    process.execPath,
    [process.execPath, ...process.execArgv, here, ...process.argv.slice(2)],
    env,
  );
}

if (isRecentEnough(process.versions.node)) {
  // Which it already is, where it carries its own number.
  if (process.platform === "linux" && process.env.SPRINGTIDE_STARTED !== String(process.pid)) startAnew();
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
