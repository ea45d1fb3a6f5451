import assert from "node:assert/strict";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import type { Express } from "express";
import { afterAll, beforeAll, describe, it } from "vitest";
import { ALL_DOORS, askedAt } from "../../../dashboard/access/doors.ts";
import { frontDoor } from "../../../dashboard/accounts/front-door.ts";
import { createApp } from "../../../dashboard/app.ts";
import { EventStreams } from "../../../dashboard/event-streams.ts";
import { openStore, type Store } from "../../../ingest/index.ts";
import { fixtureAssessment } from "../support/fixture-fleet.ts";
import { FixtureServiceDesk } from "../support/fixture-service.ts";

/** A layer of Express' router, as far as it is looked at here. */
interface Layer {
  readonly route?: { readonly path: string | readonly string[]; readonly methods: Record<string, boolean> };
  readonly handle: { readonly stack?: readonly Layer[] };
}

/** Every route of an app, whatever router it stands in: "GET /units/:instrument". */
function routesOf(app: Express): string[] {
  const within = (stack: readonly Layer[]): string[] =>
    stack.flatMap(({ route, handle }) =>
      route === undefined
        ? within(handle.stack ?? [])
        : [route.path]
            .flat()
            .flatMap((path) =>
              Object.keys(route.methods).map((method) => `${method.toUpperCase()} ${String(path)}`),
            ),
    );
  return within((app.router as unknown as { stack: Layer[] }).stack);
}

/** Nobody is asked there: only its routes are looked at. */
const COMPANY = { issuer: new URL("https://sign-in.test"), clientId: "springtide", clientSecret: "x" };

let routes: readonly string[];
let store: Store;
let events: EventStreams;
let folder: string;
beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), "springtide-test-"));
  store = await openStore(`sqlite:${join(folder, "store.sqlite")}`);
  const now = () => Date.parse("2026-04-01T12:00:00Z");
  const assessment = fixtureAssessment(1);
  const report = () => undefined;
  events = new EventStreams(assessment, report);
  const door = frontDoor({
    settings: { publicAddress: null, proxies: 1, company: COMPANY },
    accounts: store.accounts,
    sites: async () => [],
    now,
  });
  const parts = {
    assessment,
    desk: { store, now, mostBytes: 1 },
    service: new FixtureServiceDesk(store, now),
    door,
    events,
    report,
  };
  routes = routesOf(createApp(parts));
});
afterAll(async () => {
  await events.end();
  await store.close();
  rmSync(folder, { recursive: true, force: true });
});

describe("the list of doors", () => {
  it("has every route of the app, so that none is answered by chance or forgotten", () => {
    assert.ok(routes.length > 50, `${routes.length} routes`);
    const doors = new Set(ALL_DOORS.map(({ door }) => door));
    assert.deepEqual(
      routes.filter((route) => !doors.has(route)),
      [],
      "routes that are not in dashboard/access/doors.ts",
    );
  });

  it("has nothing that is not there", () => {
    assert.deepEqual(
      ALL_DOORS.filter(({ door }) => !routes.includes(door)).map(({ door }) => door),
      [],
    );
    assert.equal(new Set(ALL_DOORS.map(({ door }) => door)).size, ALL_DOORS.length);
  });

  it("asks the same of an address by whichever of its doors it is taken for", () => {
    for (const one of ALL_DOORS) {
      const [method, path] = one.door.split(" ") as [string, string];
      for (const other of ALL_DOORS) {
        const [otherMethod, otherPath] = other.door.split(" ") as [string, string];
        if (method !== otherMethod || !mayBeSame(path, otherPath)) continue;
        assert.equal(one.action, other.action, `${one.door} and ${other.door}`);
      }
    }
  });

  it("knows an address as the router does: with a slash at its end, in capitals, asked by HEAD", () => {
    assert.equal(askedAt("GET", "/Settings/")!.action, "read");
    assert.equal(askedAt("HEAD", "/units")!.action, "read");
    assert.equal(askedAt("POST", "/settings/")!.ofAllSites, true);
    for (const [method, path] of [
      ["GET", "/units/a/b/c/d"],
      ["DELETE", "/units"],
      ["OPTIONS", "/"],
      ["GET", "//units"],
      ["GET", "/%75nits"],
    ] as const) {
      assert.equal(askedAt(method, path), null, `${method} ${path}`);
    }
  });
});

/** Whether one address could fit both. */
function mayBeSame(a: string, b: string): boolean {
  const [partsA, partsB] = [a.split("/"), b.split("/")];
  return (
    partsA.length === partsB.length &&
    partsA.every((part, i) => part.startsWith(":") || partsB[i]!.startsWith(":") || part === partsB[i])
  );
}
