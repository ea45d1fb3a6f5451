import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { type FrontDoorParts, frontDoor } from "../../../dashboard/accounts/front-door.ts";
import { addPerson, type NewPerson } from "../../../dashboard/accounts/people.ts";
import type { SignInSettings } from "../../../dashboard/accounts/sign-in-settings.ts";
import { startServer } from "../../../dashboard/server.ts";
import { openStore, type Store } from "../../../ingest/index.ts";
import { fixtureAssessment } from "../support/fixture-fleet.ts";
import { FixtureServiceDesk } from "../support/fixture-service.ts";
import { MOST_BYTES } from "../support/running-app.ts";
import { Visitor } from "./visitor.ts";

export const PASSWORD = "marble otter lantern";
export const SITES = ["North", "South"];

/** A dashboard that asks people to sign in, with a clock that the test moves. */
export interface RunningDoor {
  readonly url: string;
  readonly store: Store;
  readonly reported: unknown[];
  readonly clock: { nowMs: number };
  /** Somebody with the password {@link PASSWORD}. @returns The account's number. */
  add(name: string, more?: Partial<NewPerson>): Promise<number>;
  /** A browser in which nobody is signed in. */
  visitor(): Visitor;
  /** A browser in which somebody is. */
  signedIn(name: string): Promise<Visitor>;
  stop(): Promise<void>;
}

export async function runDoor(
  settings: Partial<SignInSettings> = {},
  assessment = fixtureAssessment(1),
): Promise<RunningDoor> {
  const reported: unknown[] = [];
  const clock = { nowMs: Date.parse("2026-04-01T12:00:00Z") };
  const now = () => clock.nowMs;
  const folder = mkdtempSync(join(tmpdir(), "springtide-test-"));
  const store = await openStore(`sqlite:${join(folder, "store.sqlite")}`);
  const parts: FrontDoorParts = {
    settings: { publicAddress: null, proxies: 1, company: null, ...settings },
    accounts: store.accounts,
    sites: async () => SITES,
    now,
  };
  const server = await startServer({
    assessment,
    desk: { store, now, mostBytes: MOST_BYTES },
    service: new FixtureServiceDesk(store, now),
    door: frontDoor(parts),
    port: 0,
    host: "127.0.0.1",
    report: (error) => reported.push(error),
  });
  const url = server.url.replace(/\/$/, "");
  let visitors = 0;
  const visitor = () => {
    visitors++;
    return new Visitor(url, settings.publicAddress?.origin ?? url, `192.0.2.${visitors}`);
  };
  return {
    url,
    store,
    reported,
    clock,
    visitor,
    add: async (name, more = {}) => {
      const person = { name, email: null, role: "reader", sites: null, ...more } as const;
      const { id } = await addPerson(store.accounts, person, { kind: "given", password: PASSWORD }, now());
      return id;
    },
    signedIn: async (name) => {
      const one = visitor();
      const answer = await one.post("/sign-in", { name, password: PASSWORD });
      if (answer.status !== 303) throw new Error(`${name} is not let in: ${answer.status}`);
      return one;
    },
    stop: async () => {
      await server.close();
      await store.close();
      rmSync(folder, { recursive: true, force: true });
    },
  };
}
