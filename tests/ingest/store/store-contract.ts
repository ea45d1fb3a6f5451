import assert from "node:assert/strict";
import { beforeEach, describe, it } from "vitest";
import type { FileIntake, FileRecord, Store } from "../../../ingest/index.ts";
import { batchOf } from "../../../ingest/store/reading-batch.ts";
import {
  digest,
  fluid,
  held,
  instrument,
  reading,
  readingAsColumns,
  TAKEN_IN,
  type Totals,
  totals,
  way,
} from "./samples.ts";

/** What every store promises, whatever database is behind it. `open` gives an empty one; `again` opens it anew. */
export function testStore(
  name: string,
  open: () => Promise<{ store: Store; again: () => Promise<Store> }>,
): void {
  describe(name, () => {
    let store: Store;
    let again: () => Promise<Store>;
    beforeEach(async () => {
      ({ store, again } = await open());
    });

    async function takeIn<T>(
      work: (intake: FileIntake) => Promise<T>,
      changes: Partial<Totals> = {},
    ): Promise<T> {
      const intake = await store.beginFile("some.csv", TAKEN_IN);
      const answer = await work(intake);
      await intake.commit(totals(changes));
      return answer;
    }

    const add = (readings: Parameters<typeof batchOf>[0], changes: Partial<Totals> = {}) =>
      takeIn((intake) => intake.addReadings(batchOf(readings)), changes);

    it("is empty at first", async () => {
      assert.equal((await store.readings()).count, 0);
      assert.deepEqual(await store.instruments(), []);
      assert.deepEqual(await store.files(), []);
      assert.deepEqual(await store.quarantined(), []);
      assert.equal(await store.revision(), 0);
    });

    it("may be closed twice", async () => {
      await store.close();
      await store.close();
    });

    it("gives a reading back as it was, in columns", async () => {
      assert.deepEqual(await add([reading]), ["accepted"]);
      const [file] = await store.files();
      assert.deepEqual(await store.readings(), readingAsColumns(file!.fileId));
    });

    it("tells every reading of a large batch apart, wherever repeats and conflicts stand in it", async () => {
      const rows = Array.from({ length: 300 }, (_, i) => ({
        ...reading,
        checkedAtMs: reading.checkedAtMs + 60_000 * i,
        line: 2 + i,
      }));
      const stored = [rows[0]!, { ...rows[100]!, readingMPaS: 90 }, rows[299]!];
      await add(stored);
      const outcomes = await add([...rows, rows[200]!]);
      const expected = rows.map((_, i) =>
        i === 0 || i === 299 ? "repeated" : i === 100 ? "conflicts" : "accepted",
      );
      assert.deepEqual(outcomes, [...expected, "repeated"]);
      assert.equal((await store.readings()).count, 300);
    });

    it("marks what was not recorded", async () => {
      const bare = {
        ...reading,
        torquePercent: null,
        temperatureC: null,
        fluidLot: null,
        geometry: null,
        site: null,
        operator: null,
        checkId: null,
      };
      await add([bare]);
      const columns = await store.readings();
      for (const column of [columns.torquePercent, columns.temperatureC]) assert.ok(Number.isNaN(column[0]));
      for (const column of [columns.fluidLot, columns.geometry, columns.site, columns.operator])
        assert.equal(column[0], -1);
    });

    it("sorts readings by instrument, time and speed, and numbers their checks", async () => {
      const at = (minutes: number) => reading.checkedAtMs + 60_000 * minutes;
      const rows = [
        { ...reading, instrument: "B", speedRpm: 20, checkedAtMs: at(0), checkId: null },
        { ...reading, instrument: "A", speedRpm: 20, checkedAtMs: at(7), checkId: "C1" },
        { ...reading, instrument: "A", speedRpm: 10, checkedAtMs: at(2000), checkId: "C1" },
        { ...reading, instrument: "A", speedRpm: 30, checkedAtMs: at(0), checkId: "C1" },
        { ...reading, instrument: "A", speedRpm: 20, checkedAtMs: at(0), checkId: "C1" },
        { ...reading, instrument: "A", speedRpm: 20, checkedAtMs: at(8), checkId: "C2" },
        { ...reading, instrument: "B", speedRpm: 10, checkedAtMs: at(0), checkId: null },
        { ...reading, instrument: "B", speedRpm: 10, checkedAtMs: at(1), checkId: null },
      ];
      await add(rows);
      const { count, instrument: units, names, checkedAtMs, speedRpm, check } = await store.readings();
      const seen = Array.from({ length: count }, (_, i) => [
        names.instruments[units[i]!],
        (checkedAtMs[i]! - at(0)) / 60_000,
        speedRpm[i],
      ]);
      // B came first, so that its index is the lower one.
      assert.deepEqual(seen, [
        ["B", 0, 10],
        ["B", 0, 20],
        ["B", 1, 10],
        ["A", 0, 20],
        ["A", 0, 30],
        ["A", 7, 20],
        ["A", 8, 20],
        ["A", 2000, 10],
      ]);
      assert.deepEqual([...check], [0, 0, 1, 2, 2, 2, 3, 4]);
    });

    it("leaves out what a filter leaves out", async () => {
      const later = { ...reading, checkedAtMs: reading.checkedAtMs + 1000 };
      await add([reading, later, { ...reading, instrument: "008" }]);
      assert.equal((await store.readings({ untilMs: reading.checkedAtMs })).count, 2);
      assert.equal((await store.readings({ instrument: "007" })).count, 2);
      const { instrument, names } = await store.readings({ instruments: ["008", "009"] });
      assert.deepEqual([names.instruments, [...instrument]], [["008"], [0]]);
      assert.equal((await store.readings({ instrument: "007", untilMs: reading.checkedAtMs })).count, 1);
      assert.equal((await store.readings({ instrument: "nobody" })).count, 0);
      assert.equal((await store.readings({ instruments: ["008", "nobody", "007"] })).count, 3);
      assert.equal((await store.readings({ instruments: ["008"], untilMs: reading.checkedAtMs })).count, 1);
      assert.equal((await store.readings({ instruments: [] })).count, 0);
    });

    it("knows a repeat from a conflict, within a batch too", async () => {
      const answers = await add([
        reading,
        reading,
        { ...reading, operator: "op-2", site: null, checkId: "other", stage: "routine" },
        { ...reading, torquePercent: null, temperatureC: null, fluidLot: null },
        { ...reading, readingMPaS: 95.7 },
        { ...reading, torquePercent: 47.9 },
        { ...reading, fullScaleRangeMPaS: 201 },
        { ...reading, fluidValueMPaS: 95.1 },
        { ...reading, fluidLot: "LOT-2" },
        { ...reading, temperatureC: 25.04 },
        { ...reading, readingMPaS: 0.0956 * 1000 },
      ]);
      assert.deepEqual(answers, [
        "accepted",
        ...Array(3).fill("repeated"),
        ...Array(6).fill("conflicts"),
        "repeated",
      ]);
      const { count, names } = await store.readings();
      assert.equal(count, 1);
      assert.deepEqual([names.operators, names.fluidLots], [["op-1"], ["LOT-1"]]);
    });

    it("says which readings are stored, and the ranges that a unit's checks used", async () => {
      await takeIn(async (intake) => {
        await intake.addReadings(
          batchOf([
            reading,
            { ...reading, speedRpm: 30, fullScaleRangeMPaS: 400.001 },
            { ...reading, checkedAtMs: 1, geometry: null, fullScaleRangeMPaS: 500 },
          ]),
        );
        assert.deepEqual(
          await intake.areStored(
            batchOf([reading, { ...reading, speedRpm: 61 }, { ...reading, readingMPaS: 1 }]),
          ),
          [true, false, false],
        );
      });
      const uses = await store.rangeUses("007");
      assert.deepEqual(
        uses
          .map(({ geometry, constant, checks }) => ({ geometry, constant: Math.round(constant), checks }))
          .sort((a, b) => a.constant - b.constant),
        [
          { geometry: "cup-A", constant: 12000, checks: 1 },
          { geometry: null, constant: 30000, checks: 1 },
        ],
      );
      assert.deepEqual(await store.rangeUses("nobody"), []);
    });

    it("lets flags be set by what is stored", async () => {
      await add([{ ...reading, flags: [] }]);
      await takeIn(
        async (intake) => {
          await intake.addReadings(batchOf([{ ...reading, speedRpm: 90, flags: [] }]));
          const [first, second] = await intake.readingsBetween(
            "007",
            reading.checkedAtMs,
            reading.checkedAtMs,
          );
          assert.equal(first?.fromThisFile, false);
          assert.equal(second?.fromThisFile, true);
          assert.equal(second?.speedRpm, 90);
          assert.deepEqual(await intake.readingsBetween("007", 0, reading.checkedAtMs - 1), []);
          await intake.setFlags("007", [{ ...first!, flags: 5 }]);
          const ofLot = [];
          for await (const row of intake.readingsOfLots(["LOT-1", "LOT-9"])) ofLot.push(row);
          assert.deepEqual(
            ofLot.map(({ instrument: name, speedRpm, fluidLot, flags }) => [name, speedRpm, fluidLot, flags]),
            [
              ["007", 60, "LOT-1", 5],
              ["007", 90, "LOT-1", 0],
            ],
          );
        },
        { sha256: digest("b") },
      );
      assert.deepEqual([...(await store.readings()).flags], [5, 0]);
    });

    it("keeps registers: adds, replaces, and says what was there already", async () => {
      const put = (intake: FileIntake) => intake.putInstruments([instrument, instrument]);
      assert.deepEqual(await takeIn(put, { kind: "instruments" }), [true, false]);
      const moved = { ...instrument, site: "Brackwater", usage: null };
      assert.deepEqual(await takeIn((intake) => intake.putInstruments([moved]), { kind: "instruments" }), [
        true,
      ]);
      assert.deepEqual(await store.instruments(), [moved]);

      const service = { instrument: "007", servicedAt: "2026-01-15", action: "adjusted" } as const;
      const inspected = { ...service, action: "inspected" } as const;
      assert.deepEqual(await takeIn((intake) => intake.putServices([inspected, service, service])), [
        true,
        true,
        false,
      ]);
      assert.deepEqual(await store.services(), [service, inspected]);
      assert.deepEqual([await store.services("007"), await store.services("8")], [[service, inspected], []]);
      assert.deepEqual([await store.instruments("007"), await store.instruments("8")], [[moved], []]);

      assert.deepEqual(await takeIn((intake) => intake.putFluids([fluid, fluid])), [true, false]);
      assert.deepEqual(await store.fluids(), [fluid]);

      const cup = {
        geometry: "cup-A",
        bobRadiusMm: 12.5,
        cupRadiusMm: 13.56,
        bobLengthMm: 37.5,
        endFactor: null,
      };
      await takeIn(async (intake) => {
        assert.deepEqual(await intake.putGeometries([cup, cup]), [true, false]);
        const registers = await intake.registers();
        assert.deepEqual([...registers.geometries.values()], [cup]);
        assert.deepEqual([...registers.fluids.keys()], ["LOT-1"]);
        assert.deepEqual([...registers.instruments.keys()], ["007"]);
      });
      assert.deepEqual(await store.geometries(), [cup]);
    });

    it("lists registered instruments only, by name", async () => {
      await takeIn(async (intake) => {
        await intake.addReadings(batchOf([{ ...reading, instrument: "unregistered" }]));
        await intake.putInstruments([
          { ...instrument, instrument: "B" },
          { ...instrument, instrument: "A" },
        ]);
      });
      assert.deepEqual(
        (await store.instruments()).map((row) => row.instrument),
        ["A", "B"],
      );
    });

    it("refuses values that its tables rule out", async () => {
      const intake = await store.beginFile("wrong.csv", TAKEN_IN);
      await assert.rejects(intake.addReadings(batchOf([{ ...reading, speedRpm: 0 }])));
      await assert.rejects(intake.addReadings(batchOf([{ ...reading, readingMPaS: -1 }])));
      await assert.rejects(
        intake.putServices([{ instrument: "007", servicedAt: "soon", action: "adjusted" }]),
      );
      await intake.rollback();
      const uneven = await store.beginFile("wrong.csv", TAKEN_IN);
      await assert.rejects(uneven.commit(totals({ rows: 3, accepted: 1, repeated: 1 })));
      await uneven.rollback();
      assert.deepEqual(await store.files(), []);
    });

    it("holds rows word for word, each once by line, part and text", async () => {
      const rows = [
        held,
        held,
        { ...held, part: 1 },
        { ...held, line: 4 },
        { ...held, column: 20 },
        { ...held, raw: 'odd "text"\r\n\twith ünicode' },
      ];
      const answers = await takeIn((intake) => intake.quarantine(rows, way));
      assert.deepEqual(answers, ["held", "held", "held", "held", "held", "held"]);
      assert.deepEqual(
        await store.quarantined(),
        [0, 2, 3, 4, 5].map((i) => ({ file: "some.csv", ...rows[i] })),
      );
    });

    it("keeps what a file came to, and finds it by its bytes and profile", async () => {
      const counts = { rows: 3, accepted: 1, repeated: 1, quarantined: 1, flagged: 1 };
      await add([reading], counts);
      const expected: Omit<FileRecord, "fileId"> = {
        file: "some.csv",
        takenInAtMs: TAKEN_IN,
        ...totals(counts),
      };
      const [{ fileId, ...file }] = (await store.files()) as [FileRecord];
      assert.deepEqual(file, expected);
      assert.deepEqual([await store.fileTakenIn(digest("a"), "")], [{ fileId, ...expected }]);
      assert.equal(await store.fileTakenIn(digest("a"), digest("p")), null);
      assert.equal(await store.fileTakenIn(digest("b"), ""), null);
    });

    it("grows its revision with what changed something, and with nothing else", async () => {
      await add([reading]);
      const first = await store.revision();
      assert.ok(first > 0);
      await add([reading]);
      assert.equal(await store.revision(), first);
      assert.equal((await store.files()).length, 1);
      await add([reading], { sha256: digest("b") });
      assert.equal((await store.files()).length, 2);
      assert.equal(await store.revision(), first);
      await takeIn((intake) => intake.quarantine([held], way), { sha256: digest("c") });
      assert.ok((await store.revision()) > first);
    });

    it("forgets everything of a file that is rolled back, and shows nothing of one under way", async () => {
      const intake = await store.beginFile("half.csv", TAKEN_IN);
      await intake.addReadings(batchOf([reading]));
      await intake.putInstruments([instrument]);
      await intake.quarantine([held], way);
      assert.equal((await store.readings()).count, 0);
      await intake.rollback();
      const columns = await store.readings();
      assert.equal(columns.count, 0);
      assert.deepEqual(columns.names.instruments, []);
      assert.deepEqual(await store.quarantined(), []);
      assert.equal(await store.revision(), 0);
      assert.deepEqual(await takeIn((next) => next.addReadings(batchOf([reading]))), ["accepted"]);
    });

    it("takes one file at a time", async () => {
      const first = await store.beginFile("first.csv", TAKEN_IN);
      const second = store.beginFile("second.csv", TAKEN_IN);
      await first.addReadings(batchOf([reading]));
      await first.commit(totals());
      const intake = await second;
      assert.deepEqual(await intake.addReadings(batchOf([reading])), ["repeated"]);
      await intake.rollback();
    });

    it("rehearses: each file sees those before it, and nothing stays", async () => {
      await add([reading]);
      const before = await store.revision();
      const rehearsal = await store.rehearse();
      const one = await rehearsal.beginFile("one.csv", TAKEN_IN);
      const first = batchOf([reading, { ...reading, speedRpm: 90 }]);
      assert.deepEqual(await one.addReadings(first), ["repeated", "accepted"]);
      await one.commit(totals({ sha256: digest("b") }));
      const dropped = await rehearsal.beginFile("dropped.csv", TAKEN_IN);
      await dropped.addReadings(batchOf([{ ...reading, speedRpm: 120 }]));
      await dropped.rollback();
      const two = await rehearsal.beginFile("two.csv", TAKEN_IN);
      const more = [90, 120].map((speedRpm) => ({ ...reading, speedRpm }));
      assert.deepEqual(await two.addReadings(batchOf(more)), ["repeated", "accepted"]);
      await two.commit(totals({ sha256: digest("c") }));
      await rehearsal.end();
      assert.equal((await store.readings()).count, 1);
      assert.equal(await store.revision(), before);
      assert.equal((await store.files()).length, 1);
    });

    it("is the same when it is opened again", async () => {
      await takeIn(async (intake) => {
        await intake.addReadings(batchOf([reading]));
        await intake.putInstruments([instrument]);
        await intake.quarantine([held], way);
      });
      const reopened = await again();
      assert.deepEqual(await reopened.readings(), await store.readings());
      assert.deepEqual(await reopened.files(), await store.files());
      assert.deepEqual(await reopened.quarantined(), await store.quarantined());
      assert.equal(await reopened.revision(), await store.revision());
    });
  });
}
