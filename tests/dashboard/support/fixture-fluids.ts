import type { LotAssessment, LotInFull, LotUnit } from "../../../analysis/index.ts";
import type { FleetView, FluidLotView, FluidsView } from "../../../dashboard/assessment/views.ts";
import { seededRandom } from "./random.ts";

/** When each of the fixture's lots was used, in days before the as-of day, and its age's effect on its error. */
const COURSES = [
  { from: 900, to: 420, perDay: 0 },
  { from: 430, to: 150, perDay: 0 },
  { from: 160, to: 1, perDay: 0.008 },
] as const;

const QUARTER_DAYS = 91;

/** What the fixture's units share: its lots in full, every other unit having used each, and four quarters of baths. */
export function fixtureFluids(fleet: FleetView): FluidsView {
  const { assessment } = fleet;
  const { asOfDay } = assessment;
  return {
    asOf: fleet.asOf,
    revision: fleet.revision,
    units: assessment.units.length,
    lots: assessment.lots.map((lot, i) => lotView(lot, i, fleet)),
    baths: assessment.baths.flatMap((bath) =>
      Array.from({ length: 4 }, (_, q) => ({
        ...bath,
        fromDay: asOfDay - (4 - q) * QUARTER_DAYS,
        toDay: asOfDay - (3 - q) * QUARTER_DAYS - 1,
        kelvin: bath.kelvin * (0.4 + 0.2 * q),
      })),
    ),
    allowedKelvin: 0.2,
  };
}

function lotView(lot: LotAssessment, i: number, { assessment }: FleetView): FluidLotView {
  const { asOfDay, units } = assessment;
  const { from, to, perDay } = COURSES[i]!;
  const random = seededRandom(i + 5);
  const errorOn = (day: number): number => lot.errorPercent - perDay * (asOfDay - to - day);
  const day = Array.from({ length: 9 }, (_, k) => asOfDay - from + ((from - to) * k) / 8);
  const used = units.filter((_, k) => k % 2 === i % 2);
  const inFull: LotInFull = {
    fluidLot: lot.fluidLot,
    path: { day, error: day.map(errorOn), sd: day.map(() => lot.errorSd) },
    units: used.map(({ instrument, site }, k): LotUnit => {
      const sd = 0.08 + 0.6 * random.uniform() ** 3;
      const meanDay = asOfDay - from + (from - to) * (0.2 + 0.6 * random.uniform());
      const beside = k === 3 ? 4 * sd : sd * random.normal();
      return {
        instrument,
        site,
        checks: 5 + (k % 30),
        firstDay: asOfDay - from + (k % 20),
        lastDay: asOfDay - to,
        meanDay,
        failed: k % 9 === 0 ? 2 : 0,
        failedByLot: k % 9 === 0 ? 1 : 0,
        passedByLot: k % 17 === 0 ? 1 : 0,
        // One site never compared the lot now in use with another.
        sideBySide: !(i === 2 && site === "Tarn House"),
        says: k % 11 === 10 ? null : { error: errorOn(meanDay) + beside, sd, beside },
      };
    }),
  };
  return {
    assessment: lot,
    inFull,
    certificate: {
      fluidLot: lot.fluidLot,
      fluidType: i === 1 ? "mineral_oil" : "silicone",
      nominalMPaS: 500,
      certifiedMPaS: 507.3,
      // The oldest lot was taken in without its certificate's uncertainty.
      expandedUncertaintyPercent: i === 0 ? null : 0.5,
      referenceTemperatureC: 25,
      temperatureCoefficientPercentPerK: -2,
      expiresOn: "2026-08-04",
    },
  };
}
