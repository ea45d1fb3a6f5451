import assert from "node:assert/strict";
import { describe, it } from "vitest";
import { ImpossibleValueError } from "../../analysis/errors.ts";
import { fullScaleRangeMPaS, representativeShear, shearStressPaPerUnm } from "../../analysis/geometry.ts";
import { assertClose } from "../support/close.ts";
import { againstSource } from "../support/reference-table.ts";

const standard = { bobRadiusMm: 12.5, cupRadiusMm: 12.5 * 1.0847, bobLengthMm: 37.5, endFactor: 1.1 };

describe("geometry", () => {
  it("gives the constants of the standard shape", () => {
    const omega = (2 * Math.PI) / 60;
    const shear = representativeShear(standard, 1);
    const source = "ISO 3219:1993, from memory";
    againstSource("shear rate per 1/min", source, 1.29085, shear.shearRatePerSecond, { absolute: 5e-6 });
    againstSource("shear rate at the bob over omega", source, 13.327, shear.bobPerSecond / omega, {
      absolute: 5e-4,
    });
    againstSource("shear rate at the cup over omega", source, 11.327, shear.cupPerSecond / omega, {
      absolute: 5e-4,
    });
    // M / R^3 in SI: 1 µN·m over (12.5 mm)^3.
    const factor = shearStressPaPerUnm(standard) / (1e-6 / 0.0125 ** 3);
    againstSource("shear stress over M / R^3", source, 0.0446098, factor, { absolute: 5e-8 });
  });

  it("gives the full-scale range of a spring", () => {
    const source = "Margules' formula, worked by hand";
    // Cut, not rounded, to the third place.
    againstSource("range, mPa·s", source, 265.409, fullScaleRangeMPaS(standard, 900, 60), { absolute: 1e-3 });
    againstSource("shear stress at full scale, Pa", source, 20.5562, 900 * shearStressPaPerUnm(standard), {
      absolute: 5e-5,
    });
  });

  it("agrees with Margules' formula written out", () => {
    const [ri, ro, l, omega] = [0.011, 0.0125, 0.04, (2 * Math.PI * 50) / 60];
    const geometry = { bobRadiusMm: 11, cupRadiusMm: 12.5, bobLengthMm: 40, endFactor: 1.05 };
    const torquePerPas = (1.05 * 4 * Math.PI * l * omega * ri ** 2 * ro ** 2) / (ro ** 2 - ri ** 2);
    assertClose(fullScaleRangeMPaS(geometry, 700, 50), (1000 * 700e-6) / torquePerPas, 1e-13);
  });

  it("names a measure that cannot be", () => {
    assert.throws(() => fullScaleRangeMPaS({ ...standard, cupRadiusMm: 12.5 }, 900, 60), /cup radius/);
    assert.throws(() => fullScaleRangeMPaS({ ...standard, bobRadiusMm: 0 }, 900, 60), ImpossibleValueError);
    assert.throws(() => fullScaleRangeMPaS({ ...standard, endFactor: Number.NaN }, 900, 60), /end factor/);
    assert.throws(() => fullScaleRangeMPaS(standard, 0, 60), /full-scale torque/);
    assert.throws(() => fullScaleRangeMPaS(standard, 900, -1), /speed/);
  });
});
