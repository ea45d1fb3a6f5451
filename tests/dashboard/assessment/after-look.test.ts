import assert from "node:assert/strict";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, it } from "vitest";
import { allUnits, UnitAnswers } from "../../../dashboard/assessment/after-look.ts";
import { assessChanges, type ChangedRun, completed } from "../../../dashboard/assessment/assess-store.ts";
import { monthEndsBefore } from "../../../dashboard/assessment/fleet-course.ts";
import { fluidsView } from "../../../dashboard/assessment/fluids-view.ts";
import { endWorkers } from "../../../dashboard/assessment/in-worker.ts";
import { loadReturns, returnsAfter } from "../../../dashboard/assessment/returns-input.ts";
import { reviewOf } from "../../../dashboard/assessment/review.ts";
import { serviceFacts } from "../../../dashboard/assessment/service-facts.ts";
import { type Ask, answerUnits, type UnitOrder } from "../../../dashboard/assessment/unit-questions.ts";
import { UnitThreads } from "../../../dashboard/assessment/unit-threads.ts";
import { watchStore } from "../../../dashboard/assessment/watch-store.ts";
import { demoFleet } from "../../../dashboard/demo/demo-fleet.ts";
import { writeFleet } from "../../../dashboard/demo/fleet-files.ts";
import { DEFAULT_SETTINGS } from "../../../dashboard/settings.ts";
import { ingestPaths, openStore, type Store } from "../../../ingest/index.ts";

const AS_OF = "2026-03-31";
const NOW = Date.parse("2026-03-31T12:00:00Z");

let folder: string;
let store: Store;
let run: ChangedRun;
beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), "springtide-test-"));
  writeFleet(join(folder, "fleet"), demoFleet({ asOf: AS_OF, units: 24, years: 2, seed: 5 }), {
    forms: "plain",
  });
  store = await openStore(`sqlite:${join(folder, "store.sqlite")}`);
  await ingestPaths(store, [join(folder, "fleet")], { now: () => NOW });
  run = completed(await assessChanges(store, AS_OF, null), null);
});
afterAll(async () => {
  await endWorkers();
  await store.close();
  rmSync(folder, { recursive: true, force: true });
});

/** Everything that follows a look, its questions answered here; and of which units what was asked. */
function afterLookHere() {
  const asked: string[] = [];
  const threads = {
    ask: <A extends Ask>(order: UnitOrder<A>) => {
      asked.push(...order.units.map(([instrument]) => `${order.ask} ${instrument}`));
      return answerUnits(store, order);
    },
  };
  const answers = <A extends Ask>(ask: A) => new UnitAnswers(ask, threads, (work) => work());
  const after = {
    charts: answers("charts"),
    ahead: answers("ahead"),
    lots: answers("lots"),
    past: answers("past"),
    returned: answers("returned"),
    found: answers("found"),
  };
  return { after, asked };
}

async function everything(after: ReturnType<typeof afterLookHere>["after"], of: ChangedRun) {
  return {
    review: await reviewOf(after, of, AS_OF),
    fluids: await fluidsView(store, after, of, AS_OF),
    returns: await returnsAfter(store, after, of, AS_OF),
    service: await serviceFacts(store, after, of, AS_OF),
  };
}

async function send(name: string, text: string): Promise<void> {
  const file = join(folder, name);
  writeFileSync(file, text);
  await ingestPaths(store, [file], { now: () => NOW });
}

describe("what follows a look at the fleet", () => {
  it("is asked only of the units that a file changed, and is what all units asked anew would give", async () => {
    const first = run;
    const { after, asked } = afterLookHere();
    await everything(after, first);
    assert.equal(asked.filter((question) => question.startsWith("charts ")).length, 24);
    assert.equal(asked.filter((question) => question.startsWith("ahead ")).length, 24);

    const unit = first.assessment.units[5]!.instrument;
    await send(
      "one.csv",
      "instrument,checked_at,speed_rpm,reading_mpas,fluid_value_mpas,full_scale_range_mpas\n" +
        `${unit},2026-03-31T09:00:00Z,3,510,500,1000\n${unit},2026-03-31T09:00:00Z,6,255,250,500\n`,
    );
    const changed = await assessChanges(store, AS_OF, first);
    const second = completed(changed, first);
    asked.length = 0;
    const kept = await everything(after, second);
    assert.deepEqual([...new Set(asked.map((question) => question.split(" ")[1]))], [unit]);
    assert.deepEqual(kept, await everything(afterLookHere().after, second));
    run = second;
  });

  it("is what a command works out from the whole fleet at once", async () => {
    const { review, returns } = await everything(afterLookHere().after, run);
    const watch = await watchStore(store, AS_OF);
    assert.deepEqual(review.budget, watch.budget);
    assert.deepEqual(review.review, watch.review);
    assert.deepEqual(
      review.signals,
      watch.signals.filter(({ onDay }) => onDay >= review.fromDay),
    );
    assert.deepEqual(returns, await loadReturns(store, AS_OF, run.settings));
  });

  it("counts the readings of the past as the store does", async () => {
    const ends = monthEndsBefore(AS_OF);
    const units = await afterLookHere().after.past.of(run, AS_OF, { ends }, allUnits(run));
    assert.equal(units.size, 24);
    for (const [e, end] of ends.entries()) {
      const { count } = await store.readings({ untilMs: Date.parse(`${end}T23:59:59.999Z`) });
      const counted = [...units.values()].reduce((sum, counts) => sum + counts[e]!, 0);
      assert.equal(counted, count, end);
    }
  });

  it("takes notice of results that were measured meanwhile", async () => {
    const { after } = afterLookHere();
    const before = await serviceFacts(store, after, run, AS_OF);
    const inDoubt = before.findings.find(({ since }) => since?.left != null)!;
    const day = Math.ceil(inDoubt.since!.left!.p50);
    const at = new Date(day * 86_400_000 + 3_600_000).toISOString();
    await send(
      "results.csv",
      `instrument,measured_at,sample,viscosity_mpas,torque_percent\n${inDoubt.found.instrument},${at},S-1,400,40\n`,
    );
    const { findings } = await serviceFacts(store, after, run, AS_OF);
    const again = findings.find(({ found }) => found.instrument === inDoubt.found.instrument)!;
    assert.equal(again.doubted.length, inDoubt.doubted.length + 1);
  });
});

describe("threads that answer about units", () => {
  it("answer the same whether one stays or several share", async () => {
    const { basis, figures } = run;
    const units = [...basis.units.keys()].map((instrument) => [instrument, null] as const);
    const order = { ask: "ahead", terms: null, units, asOf: AS_OF, settings: run.settings, figures } as const;
    const here = await answerUnits(store, order);
    assert.equal(here.size, 24);
    assert.deepEqual(await new UnitThreads(store.location).ask(order), here);
    assert.deepEqual(await new UnitThreads(store.location, { threads: 3, fewUnits: 5 }).ask(order), here);
  });

  it("tell what went wrong, and go on", async () => {
    const units = [[run.assessment.units[0]!.instrument, null]] as const;
    const order = {
      ask: "ahead",
      terms: null,
      units,
      asOf: AS_OF,
      settings: DEFAULT_SETTINGS,
      figures: run.figures,
    } as const;
    const threads = new UnitThreads(store.location);
    await assert.rejects(threads.ask({ ...order, figures: JSON.parse("{}") }), /population|undefined/);
    assert.equal((await threads.ask(order)).size, 1);
  });
});
