import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { ImpossibleValueError } from "../../analysis/errors.ts";
import {
  ROLLUP_KEYS,
  type RollupGroup,
  type RollupKey,
  type RollupRow,
  rollUp,
} from "../../analysis/rollup.ts";
import { assertClose } from "../support/close.ts";
import { seededRandom } from "../support/random.ts";

const row = (part: Partial<RollupRow>): RollupRow => ({
  site: "Aldermoor",
  modelClass: "low torque",
  state: "steady",
  pOutNow: 0.1,
  pOutBeforeService: 0.2,
  overdueCheck: false,
  ...part,
});

/** The same by a plain loop. */
function byLoop(rows: readonly RollupRow[], key: RollupKey): RollupGroup[] {
  const groups = new Map<string | null, RollupRow[]>();
  for (const r of rows) groups.set(r[key], [...(groups.get(r[key]) ?? []), r]);
  const sum = (values: number[]) => values.reduce((total, value) => total + value, 0);
  return [...groups].map(([name, members]) => {
    const p = members.map((m) => m.pOutBeforeService).filter((value) => value !== null);
    const out = members.filter((m) => m.state === "out").length;
    return {
      key: name,
      units: members.length,
      judged: p.length,
      meanPOutBeforeService: p.length > 0 ? sum(p) / p.length : null,
      highestPOutBeforeService: p.length > 0 ? Math.max(...p) : null,
      expectedOutNow: sum(members.map((m) => m.pOutNow ?? 0)),
      expectedOutBeforeService: sum(p),
      shareOut: p.length > 0 ? out / p.length : null,
      overdueChecks: members.filter((m) => m.overdueCheck).length,
    };
  });
}

describe("rollUp", () => {
  it("equals a plain loop, by every key", async () => {
    const random = seededRandom(11);
    const pick = <T>(list: readonly T[]): T => list[Math.floor(random.uniform() * list.length)]!;
    const rows = Array.from({ length: 400 }, () => {
      const judged = random.uniform() < 0.9;
      return row({
        site: pick(["007", "7", "Aldermoor", "Brackwater-North", "__proto__", "constructor", null]),
        modelClass: pick(["low torque", "high torque"]),
        state: judged ? pick(["steady", "leaning", "heading-out", "out"]) : "unjudged",
        pOutNow: judged ? random.uniform() : null,
        pOutBeforeService: judged ? random.uniform() ** 8 : null,
        overdueCheck: random.uniform() < 0.2,
      });
    });
    for (const key of ROLLUP_KEYS) {
      const [got, wanted] = [await rollUp(rows, key), byLoop(rows, key)];
      const sorted = (groups: RollupGroup[]) => groups.map((g) => g.key).sort();
      assert.deepEqual(sorted(got), sorted(wanted));
      for (const group of got) {
        const expected = wanted.find((g) => g.key === group.key)!;
        for (const [name, value] of Object.entries(expected)) {
          const seen = group[name as keyof RollupGroup];
          // The library adds up in double precision, if in another order.
          if (typeof value === "number") assertClose(Number(seen), value, 1e-13);
          else assert.equal(seen, value);
        }
      }
    }
  });

  it("keeps units that cannot be judged out of means, and those without a key last", async () => {
    const rows = [
      row({ site: null }),
      row({ state: "unjudged", pOutNow: null, pOutBeforeService: null }),
      row({ pOutBeforeService: 0.6, state: "out", overdueCheck: true }),
    ];
    assert.deepEqual(await rollUp(rows, "site"), [
      {
        key: "Aldermoor",
        units: 2,
        judged: 1,
        meanPOutBeforeService: 0.6,
        highestPOutBeforeService: 0.6,
        expectedOutNow: 0.1,
        expectedOutBeforeService: 0.6,
        shareOut: 1,
        overdueChecks: 1,
      },
      {
        key: null,
        units: 1,
        judged: 1,
        meanPOutBeforeService: 0.2,
        highestPOutBeforeService: 0.2,
        expectedOutNow: 0.1,
        expectedOutBeforeService: 0.2,
        shareOut: 0,
        overdueChecks: 0,
      },
    ]);
  });

  it("has no mean where no unit can be judged, and nothing for no rows", async () => {
    const [only] = await rollUp(
      [row({ state: "unjudged", pOutNow: null, pOutBeforeService: null })],
      "state",
    );
    assert.deepEqual(
      [only?.key, only?.judged, only?.meanPOutBeforeService, only?.shareOut],
      ["unjudged", 0, null, null],
    );
    assert.deepEqual(await rollUp([], "site"), []);
  });

  it("names a probability that cannot be", async () => {
    await assert.rejects(rollUp([row({ pOutNow: Number.NaN })], "site"), ImpossibleValueError);
    await assert.rejects(rollUp([row({ pOutBeforeService: 1.1 })], "site"), /probability must be 0 to 1/);
  });
});
