import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { flagReading } from "../../../ingest/readings/flags.ts";
import type { FluidRecord } from "../../../ingest/store/store.ts";

const lot: FluidRecord = {
  fluidLot: "LOT-1",
  fluidType: "silicone",
  nominalMPaS: 100,
  certifiedMPaS: 95,
  expandedUncertaintyPercent: 0.5,
  referenceTemperatureC: 20,
  temperatureCoefficientPercentPerK: -2,
  expiresOn: "2026-03-01",
};
const reading = {
  checkedAtMs: Date.parse("2026-03-01T23:59:59Z"),
  fluidValueMPaS: 95,
  fullScaleRangeMPaS: 200,
  temperatureC: 20.2,
  fluidLot: "LOT-1",
};

describe("flagReading", () => {
  it("has none for a reading in order, on the last day of its lot", () => {
    assert.deepEqual(flagReading(reading, lot), []);
  });

  it("temperature-off: beyond 0.2 K of the lot's reference, else of 25.0 °C; both limits still good", () => {
    for (const [temperatureC, expected] of [
      [20.21, 1],
      [19.79, 1],
      [19.8, 0],
      [25, 1],
    ] as const) {
      assert.equal(flagReading({ ...reading, temperatureC }, lot).length, expected, String(temperatureC));
    }
    const unnamed = { ...lot, referenceTemperatureC: null };
    assert.deepEqual(flagReading({ ...reading, temperatureC: 25.2 }, unnamed), []);
    assert.deepEqual(flagReading({ ...reading, temperatureC: 24.79 }, unnamed), ["temperature-off"]);
    assert.deepEqual(flagReading({ ...reading, temperatureC: null }, lot), []);
  });

  it("torque-low: less than 10 % expected", () => {
    assert.deepEqual(flagReading({ ...reading, fullScaleRangeMPaS: 950 }, lot), []);
    assert.deepEqual(flagReading({ ...reading, fullScaleRangeMPaS: 951 }, lot), ["torque-low"]);
  });

  it("lot-expired: checked after the last day", () => {
    const after = Date.parse("2026-03-02T00:00:00Z");
    assert.deepEqual(flagReading({ ...reading, checkedAtMs: after }, lot), ["lot-expired"]);
    assert.deepEqual(flagReading({ ...reading, checkedAtMs: after }, { ...lot, expiresOn: null }), []);
  });

  it("lot-unknown: named, but not registered", () => {
    assert.deepEqual(flagReading({ ...reading, temperatureC: 25 }, undefined), ["lot-unknown"]);
    assert.deepEqual(flagReading({ ...reading, temperatureC: 25, fluidLot: null }, undefined), []);
  });

  it("looks-nominal: the label's value where the certificate has another", () => {
    assert.deepEqual(flagReading({ ...reading, fluidValueMPaS: 100 }, lot), ["looks-nominal"]);
    assert.deepEqual(flagReading({ ...reading, fluidValueMPaS: 100 }, { ...lot, certifiedMPaS: 100 }), []);
  });

  it("gives several in the order of the list", () => {
    assert.deepEqual(
      flagReading(
        {
          ...reading,
          temperatureC: 30,
          fluidValueMPaS: 100,
          fullScaleRangeMPaS: 5000,
          checkedAtMs: Date.parse("2026-04-01"),
        },
        lot,
      ),
      ["temperature-off", "torque-low", "lot-expired", "looks-nominal"],
    );
  });
});
