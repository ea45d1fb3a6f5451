import assert from "node:assert/strict";
import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";
import { readFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { text } from "node:stream/consumers";
import { fileURLToPath } from "node:url";
import { describe, it, onTestFinished } from "vitest";
import { twentyFiles } from "../../faults/twenty-files.ts";
import { scratchFolder } from "../../ingest/support/scratch.ts";
import { fixtureAssessment } from "../support/fixture-fleet.ts";
import { runApp } from "../support/running-app.ts";

const PROGRAM = fileURLToPath(new URL("../../../dashboard/springtide.mjs", import.meta.url));

function start(...words: readonly string[]): ChildProcess {
  const child = spawn(process.execPath, [PROGRAM, ...words], {
    stdio: ["ignore", "pipe", "pipe"],
    env: { ...process.env, NODE_COMPILE_CACHE: join(tmpdir(), "springtide-compile-cache") },
  });
  onTestFinished(() => {
    child.kill("SIGKILL");
  });
  return child;
}

async function app() {
  const running = await runApp(fixtureAssessment(20));
  onTestFinished(() => running.stop());
  return running;
}

describe("a server", () => {
  it("says that it is up, and whether readers can be sent to it", async () => {
    const { get } = await app();
    assert.deepEqual(await (await get("/health")).json(), { status: "up" });
    assert.deepEqual(await (await get("/ready")).json(), { status: "ready" });
  });

  it("counts its answers by door and status, and tells no name", async () => {
    const { get } = await app();
    await get("/units/V-0001");
    await get("/units/V-0002");
    await get("/units/none");
    const answer = await get("/metrics");
    assert.match(answer.headers.get("content-type")!, /^text\/plain; version=0\.0\.4/);
    const counts = await answer.text();
    const line = (status: number) =>
      `springtide_answer_seconds_count{method="GET",door="/units/:instrument",status="${status}"}`;
    assert.ok(counts.includes(`${line(200)} 2`), counts.slice(-1500));
    assert.ok(counts.includes(`${line(404)} 1`));
    assert.ok(!counts.includes("V-0001") && !counts.includes("Ashmere"));
    for (const name of [
      "springtide_look_age_seconds",
      "springtide_held_rows",
      "nodejs_eventloop_lag_seconds",
    ]) {
      assert.match(counts, new RegExp(`^${name} -?[\\d.e+-]+$`, "m"));
    }
    // Every line is a comment or a sample, as the text format has it.
    for (const one of counts.trimEnd().split("\n")) {
      if (one !== "") assert.match(one, /^(# (HELP|TYPE) |[a-zA-Z_:][\w:]*(\{[^}]*\})? [-+]?[\w.+-]+$)/);
    }
  });
});

describe("springtide serve", () => {
  async function served() {
    const folder = scratchFolder();
    const store = `sqlite:${join(folder, "store.sqlite")}`;
    const taken = start("ingest", twentyFiles(scratchFolder()), "--store", store);
    assert.equal((await once(taken, "exit"))[0], 0);
    const child = start(
      "serve",
      "--store",
      store,
      "--port",
      "0",
      "--json",
      "--as-of",
      "2026-04-01",
      "--log",
      "json",
    );
    const said = text(child.stderr!);
    const [line] = await once(child.stdout!, "data");
    return { child, said, url: JSON.parse(String(line)).url as string };
  }

  it("logs each answer as JSON with a number, and nothing personal", { timeout: 60_000 }, async () => {
    const { child, said, url } = await served();
    const answer = await fetch(`${url}units/U-1?format=json&secret=hidden`);
    child.kill("SIGTERM");
    assert.deepEqual(await once(child, "exit"), [0, null]);
    const lines = (await said).split("\n").filter((line) => line.startsWith("{"));
    const logged = lines.map((line) => JSON.parse(line)).find(({ door }) => door === "/units/:instrument");
    assert.equal(logged.id, answer.headers.get("x-request-id"));
    assert.deepEqual([logged.method, logged.status, typeof logged.ms], ["GET", answer.status, "number"]);
    assert.doesNotMatch(lines.join("\n"), /U-1|secret|hidden|127\.0\.0\.1/);
  });

  it("answers what is under way when it is told to stop, and leaves nothing running", {
    timeout: 60_000,
  }, async () => {
    const { child, url } = await served();
    const stream = await fetch(`${url}events`);
    const asked = Array.from({ length: 20 }, () => fetch(`${url}intake`).then((answer) => answer.status));
    const ended = Promise.allSettled(asked);
    await asked[0];
    const begun = performance.now();
    child.kill("SIGTERM");
    assert.deepEqual(await once(child, "exit"), [0, null]);
    assert.ok(performance.now() - begun < 11_000);
    // A connection that was not taken any more is refused; one that was is answered.
    assert.ok((await ended).every((one) => one.status === "rejected" || one.value === 200));
    await stream.text().catch(() => undefined);
    await assert.rejects(fetch(`${url}health`));
  });
});

describe("the unit file and the proxy example", () => {
  const read = (name: string) =>
    readFileSync(new URL(`../../../dashboard/running/${name}`, import.meta.url), "utf8");

  it("start the program with options that it has", async () => {
    const [, command, words] = /^ExecStart=\S+ \S+springtide\.mjs (\w+) (.*)$/m.exec(
      read("springtide.service"),
    )!;
    const help = await text(start(command!, "--help").stdout!);
    for (const [option] of words!.matchAll(/--[a-z-]+/g)) assert.ok(help.includes(`${option}`), option);
  });

  it("agree on the port, and let event streams through", () => {
    const [, port] = /PORT=(\d+)/.exec(read("springtide.service"))!;
    const proxy = read("nginx.conf");
    assert.ok(proxy.includes(`127.0.0.1:${port}`));
    assert.match(proxy, /proxy_buffering off;/);
    assert.match(proxy, /proxy_set_header X-Forwarded-For /);
  });
});
