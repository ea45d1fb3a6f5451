import assert from "node:assert/strict";
import { describe, it } from "vitest";
import {
  type Claim,
  type NewDelivery,
  type NoticeEvent,
  openStore,
  type Store,
  type Subscription,
} from "../../../ingest/index.ts";
import { DATABASES } from "../support/databases.ts";
import { ingest, writeFiles } from "../support/scratch.ts";

const NOW = 1_000_000;

const byMail: Omit<Subscription, "id" | "endedAtMs"> = {
  accountId: null,
  name: "Ada",
  way: "email",
  address: "ada@lab.example",
  secret: null,
  sites: ["North"],
  atOnce: true,
  digest: { weekday: 1, hour: 7 },
  timeZone: "Europe/Berlin",
  chosenAtMs: NOW,
};

const delivery = (subscriptionId: number, eventKey: string, madeAtMs = NOW): NewDelivery => ({
  subscriptionId,
  eventKey,
  kind: "turned",
  messageId: `${subscriptionId} ${eventKey}`,
  content: "{}",
  aboutSites: ["North"],
  madeAtMs,
});

const claimAt = (nowMs: number, by = "A", ways: Claim["ways"] = ["email", "webhook"]): Claim => ({
  by,
  ways,
  nowMs,
  untilMs: nowMs + 100,
  furthestMs: nowMs + 10_000,
});

const states = [{ subject: "unit", name: "U-1", state: "out" }] as const;
const look = { after: null, revision: 4, asOf: "2026-04-01", states, events: [], deliveries: [] };

async function withOne(emptyStore: () => Promise<Store>, key = "first") {
  const { notices, location } = await emptyStore();
  const id = await notices.subscribe(byMail);
  await notices.enqueue([delivery(id, key)]);
  return { notices, id, location };
}

describe.each(DATABASES)("notices %s", (_, emptyStore) => {
  it("keep what each person chose, until it ends", async () => {
    const { notices } = await emptyStore();
    const id = await notices.subscribe(byMail);
    assert.deepEqual(await notices.subscriptions(), [{ ...byMail, id, endedAtMs: null }]);
    const choice = { sites: null, atOnce: false, digest: null, timeZone: "UTC" };
    await notices.changeChoice(id, choice, NOW + 1);
    assert.deepEqual(await notices.subscription(id), {
      ...byMail,
      ...choice,
      id,
      chosenAtMs: NOW + 1,
      endedAtMs: null,
    });
    await notices.unsubscribe(id, NOW + 2);
    assert.deepEqual(await notices.subscriptions(), []);
    assert.equal((await notices.subscription(id))!.endedAtMs, NOW + 2);
  });

  it("keep a look with what is to be sent about it, all or nothing, and only after the one it was held against", async () => {
    const { notices } = await emptyStore();
    const id = await notices.subscribe(byMail);
    assert.deepEqual(await notices.known(), { look: null, states: [] });
    assert.equal(await notices.keepLook(look), true);
    assert.equal(await notices.keepLook(look), false);
    const known = await notices.known();
    assert.deepEqual(known, { look: { serial: 1, revision: 4, asOf: "2026-04-01" }, states });
    const event: Omit<NoticeEvent, "id"> = {
      ...{ subject: "unit", name: "U-1", before: "out", state: "steady", sites: ["North"] },
      ...{ happenedAtMs: NOW, asOf: "2026-04-02", atOnce: true },
    };
    const next = { ...look, after: known.look, events: [event], asOf: "2026-04-02" };
    await assert.rejects(notices.keepLook({ ...next, deliveries: [delivery(id + 1, "to nobody")] }));
    assert.deepEqual(await notices.known(), known);
    assert.equal(await notices.keepLook({ ...next, deliveries: [delivery(id, "turned")] }), true);
    assert.deepEqual(await notices.eventsSince(NOW), [{ ...event, id: 1 }]);
    assert.deepEqual(await notices.eventsSince(NOW + 1), []);
    assert.equal((await notices.deliveries({ limit: 9 })).length, 1);
  });

  it("look afresh where somebody is told again after a time in which nobody was", async () => {
    const { notices } = await emptyStore();
    const id = await notices.subscribe(byMail);
    await notices.keepLook(look);
    await notices.subscribe({ ...byMail, name: "Ben" });
    assert.notEqual((await notices.known()).look, null);
    for (const { id: any } of await notices.subscriptions()) await notices.unsubscribe(any, NOW);
    await notices.subscribe(byMail);
    assert.deepEqual(await notices.known(), { look: null, states: [] });
    assert.equal((await notices.subscription(id))!.endedAtMs, NOW);
  });

  it("hold each message once for each subscription", async () => {
    const { notices, id } = await withOne(emptyStore);
    const other = await notices.subscribe({ ...byMail, name: "Ben", way: "webhook" });
    await notices.enqueue([
      { ...delivery(id, "first"), messageId: "again" },
      delivery(other, "first"),
      delivery(id, "second"),
    ]);
    const keys = (await notices.deliveries({ limit: 9 })).map((one) => [one.subscriptionId, one.eventKey]);
    assert.deepEqual(keys.toSorted(), [
      [id, "first"],
      [id, "second"],
      [other, "first"],
    ]);
  });

  it("are claimed by one process, and by another when the claim has run out", async () => {
    const { notices, location } = await withOne(emptyStore);
    const elsewhere = await openStore(location);
    try {
      const both = await Promise.all([
        notices.claim(claimAt(NOW, "A")),
        elsewhere.notices.claim(claimAt(NOW, "B")),
      ]);
      assert.equal(both.filter((one) => one !== null).length, 1);
      const [first, second] = both[0] === null ? ["B", "A"] : ["A", "B"];
      assert.equal(await notices.hasDue(claimAt(NOW + 99, second)), false);
      const taken = await elsewhere.notices.claim(claimAt(NOW + 100, second));
      assert.equal(taken!.tries, 2);
      const sent = { state: "sent", atMs: NOW + 101, trouble: null } as const;
      assert.equal(await notices.settle(taken!.id, first!, sent), false);
      assert.equal(await notices.settle(taken!.id, second!, sent), true);
      assert.equal(await notices.claim(claimAt(NOW + 9_000)), null);
    } finally {
      await elsewhere.close();
    }
  });

  it("wait for their time, and for whoever can send them", async () => {
    const { notices } = await withOne(emptyStore);
    assert.equal(await notices.hasDue(claimAt(NOW - 1)), false);
    assert.equal(await notices.claim(claimAt(NOW, "A", ["webhook"])), null);
    assert.equal(await notices.claim(claimAt(NOW, "A", [])), null);
    const { id } = (await notices.claim(claimAt(NOW)))!;
    await notices.settle(id, "A", { state: "waiting", dueAtMs: NOW + 500, trouble: "no answer" });
    assert.equal(await notices.claim(claimAt(NOW + 499)), null);
    assert.equal((await notices.claim(claimAt(NOW + 500)))!.trouble, "no answer");
  });

  it("do not wait for a time or a claim that a wrong clock set far ahead", async () => {
    const { notices, id } = await withOne(emptyStore);
    await notices.enqueue([delivery(id, "of a wrong clock", NOW + 20_000)]);
    assert.notEqual(await notices.claim(claimAt(NOW + 30_000, "wrong clock")), null);
    const taken = [await notices.claim(claimAt(NOW)), await notices.claim(claimAt(NOW))];
    assert.deepEqual(taken.map((one) => one?.eventKey).toSorted(), ["first", "of a wrong clock"]);
    assert.equal(await notices.claim(claimAt(NOW)), null);
  });

  it("that failed are in line again when somebody asks for it", async () => {
    const { notices } = await withOne(emptyStore);
    const { id } = (await notices.claim(claimAt(NOW)))!;
    await notices.settle(id, "A", { state: "failed", atMs: NOW, trouble: "refused" });
    assert.deepEqual(
      (await notices.deliveries({ state: "failed", limit: 9 })).map((one) => [one.tries, one.trouble]),
      [[1, "refused"]],
    );
    assert.equal(await notices.claim(claimAt(NOW + 9_000)), null);
    await notices.tryAgain(id, NOW + 1);
    assert.equal((await notices.claim(claimAt(NOW + 1)))!.tries, 1);
  });

  it("know when the last digest was made", async () => {
    const { notices, id } = await withOne(emptyStore);
    assert.equal(await notices.lastDigestAtMs(id), null);
    await notices.enqueue([{ ...delivery(id, "digest", NOW + 7), kind: "digest" }]);
    assert.equal(await notices.lastDigestAtMs(id), NOW + 7);
  });

  it("know the sites of a lot by the units that were checked with it", async () => {
    const store = await emptyStore();
    const { notices } = store;
    const files = {
      "instruments.csv":
        "instrument,site,usage\nU-1,North,daily\nU-2,South,daily\nU-3,North,daily\nU-4,West,daily\nU-5,,daily\n",
      "readings.csv": [
        "instrument,checked_at,speed_rpm,reading_mpas,fluid_value_mpas,full_scale_range_mpas,fluid_lot",
        ...["U-1", "U-2", "U-3", "U-5"].map((unit) => `${unit},2026-03-01T10:00:00Z,60,95,95,200,L-1`),
        "U-4,2026-03-01T10:00:00Z,60,95,95,200,L-2",
      ].join("\n"),
    };
    await ingest(store, writeFiles(files));
    assert.deepEqual(await notices.sitesOfLot("L-1"), ["North", "South"]);
    assert.deepEqual(await notices.sitesOfLot("nothing"), []);
  });
});
