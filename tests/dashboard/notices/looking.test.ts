import assert from "node:assert/strict";
import { describe, it } from "vitest";
import type { TurnedContent } from "../../../dashboard/notices/content.ts";
import { queueDigests } from "../../../dashboard/notices/digest.ts";
import { lastDigestDueMs } from "../../../dashboard/notices/digest-time.ts";
import { noteTurns } from "../../../dashboard/notices/look.ts";
import { noticeHtml, noticePlain } from "../../../dashboard/notices/notice-page.ts";
import type { Store } from "../../../ingest/index.ts";
import { scratchStore } from "../../ingest/support/scratch.ts";
import { DAY, fleetWith, NOW, subscribed, unitAt } from "./fleet.ts";

/** What is in line, oldest first: for each message whose it is, and which units and lots it is about. */
async function inLine(store: Store): Promise<string[]> {
  const deliveries = await store.notices.deliveries({ limit: 100 });
  return deliveries.toReversed().map(({ subscriptionId, content }) => {
    const { turned } = JSON.parse(content) as TurnedContent;
    return `${subscriptionId}: ${turned.map(({ name, state }) => `${name} ${state}`).join(", ")}`;
  });
}

describe("what people are told of at once", () => {
  it("is nothing at the first look, and each turn for the worse after it, once", async () => {
    const store = await scratchStore();
    const [a, b] = [await unitAt("Weir End", 0), await unitAt("Weir End", 1)];
    await subscribed(store);
    await noteTurns(store, await fleetWith(1, { [a]: "out" }), NOW);
    assert.deepEqual(await inLine(store), []);
    await noteTurns(store, await fleetWith(2, { [a]: "out", [b]: "heading-out" }), NOW);
    await noteTurns(store, await fleetWith(2, { [a]: "out", [b]: "heading-out" }), NOW);
    await noteTurns(store, await fleetWith(3, { [a]: "heading-out", [b]: "out" }), NOW);
    assert.deepEqual(await inLine(store), [`1: ${b} heading-out`, `1: ${b} out`]);
  });

  it("comes again when a unit turned back and out again, but not within two weeks", async () => {
    const store = await scratchStore();
    const unit = await unitAt("Weir End");
    await subscribed(store);
    const states = ["steady", "out", "steady", "out", "steady", "out"] as const;
    const days = [0, 1, 2, 3, 16, 17];
    for (const [i, state] of states.entries()) {
      await noteTurns(store, await fleetWith(i + 1, { [unit]: state }), NOW + days[i]! * DAY);
    }
    assert.deepEqual(await inLine(store), [`1: ${unit} out`, `1: ${unit} out`]);
    const events = await store.notices.eventsSince(0);
    assert.deepEqual(
      events.map(({ state, atOnce }) => `${state} ${atOnce}`),
      ["out true", "steady false", "out false", "steady false", "out true"],
    );
  });

  it("is not turned back by a process that lags behind, nor held up by a clock that was wrong", async () => {
    const store = await scratchStore();
    const unit = await unitAt("Weir End");
    await subscribed(store);
    await noteTurns(store, await fleetWith(5, {}), NOW);
    await noteTurns(store, await fleetWith(4, { [unit]: "out" }), NOW);
    await noteTurns(store, await fleetWith(5, { [unit]: "out" }, {}, "2026-03-31"), NOW);
    assert.deepEqual(await inLine(store), []);
    await noteTurns(store, await fleetWith(5, {}, {}, "2027-04-01"), NOW + 365 * DAY);
    await noteTurns(store, await fleetWith(5, { [unit]: "out" }), NOW);
    assert.deepEqual(await inLine(store), [`1: ${unit} out`]);
  });

  it("is of one's own sites, and in one message where much turned at once", async () => {
    const store = await scratchStore();
    const names = await Promise.all([0, 1, 2, 3, 4, 5].map((i) => unitAt("Weir End", i)));
    const other = await unitAt("Ashmere");
    const all = await subscribed(store);
    const own = await subscribed(store, { sites: ["Ashmere"] });
    await subscribed(store, { atOnce: false });
    await noteTurns(store, await fleetWith(1, {}), NOW);
    const out = Object.fromEntries([...names, other].map((name) => [name, "out"] as const));
    await noteTurns(store, await fleetWith(2, out), NOW);
    const [first, second, ...more] = await inLine(store);
    assert.equal(first!.split(", ").length, 7);
    assert.match(first!, new RegExp(`^${all}: `));
    assert.equal(second, `${own}: ${other} out`);
    assert.deepEqual(more, []);
  });
});

describe("the weekly digest", () => {
  it("is due at its hour on the clock of its time zone, summer and winter", () => {
    const due = (nowIso: string, digest: { weekday: number; hour: number }, timeZone: string) =>
      new Date(lastDigestDueMs({ digest, timeZone }, Date.parse(nowIso))!).toISOString();
    const monday = { weekday: 1, hour: 7 };
    assert.equal(due("2026-03-30T05:00:00Z", monday, "Europe/Berlin"), "2026-03-30T05:00:00.000Z");
    assert.equal(due("2026-03-30T04:59:59Z", monday, "Europe/Berlin"), "2026-03-23T06:00:00.000Z");
    assert.equal(
      due("2026-03-29T23:00:00Z", { weekday: 7, hour: 2 }, "Europe/Berlin"),
      "2026-03-29T01:00:00.000Z",
    );
    assert.equal(due("2026-01-01T00:00:00Z", monday, "Pacific/Auckland"), "2025-12-28T18:00:00.000Z");
    assert.equal(lastDigestDueMs({ digest: null, timeZone: "UTC" }, NOW), null);
  });

  it("is put in line once a week, not for a time before it was chosen, and after a time away", async () => {
    const store = await scratchStore();
    const fleet = await fleetWith(1, {});
    const digest = { weekday: 3, hour: 10 };
    await subscribed(store, { digest, chosenAtMs: Date.parse("2026-04-01T10:30:00Z") });
    const keys = async () => (await store.notices.deliveries({ limit: 9 })).map(({ eventKey }) => eventKey);
    await queueDigests(store, fleet, NOW);
    assert.deepEqual(await keys(), []);
    await Promise.all([queueDigests(store, fleet, NOW + 7 * DAY), queueDigests(store, fleet, NOW + 7 * DAY)]);
    await queueDigests(store, fleet, NOW + 9 * DAY);
    assert.deepEqual(await keys(), ["digest 2026-04-08"]);
    await queueDigests(store, fleet, NOW + 30 * DAY);
    assert.deepEqual(await keys(), ["digest 2026-04-29", "digest 2026-04-08"]);
  });
});

describe("what a notice says", () => {
  const turned: TurnedContent = {
    kind: "turned",
    as_of: "2026-04-01",
    turned: [
      {
        ...{ subject: "unit", name: "V-1\r\nBcc: eve@lab.example <script>", site: "Weir & End" },
        ...{ before: "leaning", state: "out", p_out_now: 0.81, p_out_before_service: 0.97, band: "high" },
        ...{ next_service_due: "2026-06-01", last_check: "2026-03-30", next_step: "check-again" },
      },
    ],
  };

  it("is one line in its subject, and nothing of a name is read as anything else", () => {
    const { subject, text } = noticePlain(turned, "https://springtide.lab.example");
    assert.equal(
      subject,
      "V-1 Bcc: eve@lab.example <script> at Weir & End is out of tolerance at high torque",
    );
    assert.doesNotMatch(text, /^Bcc/m);
    const html = noticeHtml(turned, "https://springtide.lab.example");
    assert.doesNotMatch(html, /<script/);
    assert.match(html, /&lt;script>/);
  });

  it("is the finding first, then how sure, what to do, the way there and the caution", () => {
    assert.equal(
      noticePlain(
        { ...turned, turned: [{ ...turned.turned[0]!, name: "V-1" }] } as TurnedContent,
        "https://s.example",
      ).text,
      `V-1 at Weir & End is out of tolerance at high torque.
How sure: 81\u00a0% likely to be out now and 97\u00a0% before its service on 1 Jun 2026, as of 1 Apr 2026, by checks up to 30 Mar 2026. Before: leaning.
What to do: Check it again within the week.
https://s.example/units/V-1

A unit that failed a check is taken out of use by your procedure, whatever the forecast says. What to do about earlier results and released products is for qualified persons to decide.

A forecast is a probability under stated assumptions. A low one is no statement of conformity and does not extend a calibration due date. It does not replace calibration by a competent laboratory, the maker\u2019s instructions or your procedures, which prevail.

You are told of this because you asked for it: https://s.example/notices
`,
    );
  });

  it("is, of a week, what turned, what is at risk, what is due back and what was held back, site by site", () => {
    const { subject, text } = noticePlain(
      {
        ...{ kind: "digest", as_of: "2026-04-06", since: "2026-03-30" },
        lots: [
          {
            ...{ name: "L-1", state: "unsound", error_percent: 1.8 },
            ...{ error_sd: 0.2, has_turned: true },
          },
        ],
        sites: [
          {
            ...{ site: "Weir End", units: 12, at_risk_count: 11, due_back_count: 1, rows_held_back: 2 },
            turned: [{ name: "V-1", before: "leaning", state: "out", on: "2026-04-02" }],
            at_risk: [
              {
                ...{ name: "V-1", state: "out", p_out_before_service: 0.97 },
                ...{ next_service_due: null, next_step: "check-again" },
              },
            ],
            due_back: [{ name: "V-2", next_service_due: "2026-04-10", kept_week: "2026-W15" }],
          },
        ],
      },
      null,
    );
    assert.equal(subject, "The week to 6 Apr 2026: 1 unit turned, 11 of 12 units out or heading out");
    assert.equal(
      text.split("\n\n").slice(0, 2).join("\n\n"),
      `One fluid lot to look at
L-1: unsound since this week, reads 1.8\u00a0% above its certificate (\u00b1 0.20\u00a0%).

Weir End: 11 of 12 units out or heading out
Turned since 30 Mar 2026: V-1 from leaning to out now (2 Apr 2026).
At risk: V-1 out now (Check it again within the week); and 10 more.
Due back: V-2 10 Apr 2026, week 15 kept.
Held back: 2 rows wait to be seen to on the page Intake.`,
    );
  });
});
