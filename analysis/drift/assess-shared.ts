import type { BathAssessment, LotAssessment, LotVerdict } from "../assessment.ts";
import { normalCdf } from "../distributions/normal.ts";
import type { FleetChecks } from "../fleet.ts";
import type { EffectEstimates } from "./effect-blocks.ts";
import { estimatesOf, type FleetFigures } from "./figures.ts";
import { ageingKey, bathKey, lotKey, quarterDays, quarterKey } from "./shared-design.ts";
import { DAYS_A_YEAR } from "./time.ts";

/** A lot further off than this takes up the whole of the fluid's share in the usual tolerance. Unit: %. */
const USUAL_ALLOWANCE = 1;

/** Probability to be beyond the allowance from which a lot is called so. */
const UNSOUND = 0.8;
const DOUBTFUL = 0.25;

/** Probability from which a lot is taken to change with age. */
const SURELY_AGEING = 0.9;

/** Lot and unit are not told apart if the lot's error is not known to within this. Unit: %. */
const TELLS_NOTHING_SD = 0.5;

const FEW_UNITS = 2;

/**
 * Every lot's error at its last use, by all the units that share it.
 *
 * @returns In the order of the fleet's list; lots that no usable check used are left out.
 */
export function assessLots(fleet: FleetChecks, figures: FleetFigures): LotAssessment[] {
  const use = lotUse(fleet);
  const shared = new SharedReader(figures);
  return fleet.lots.flatMap((lot, index): LotAssessment[] => {
    const used = use[index]!;
    if (used.checks === 0) return [];
    const course = figures.shared.courses.find((c) => c.fluidLot === lot.fluidLot);
    if (!course) {
      return [
        {
          fluidLot: lot.fluidLot,
          errorPercent: 0,
          errorSd: Math.sqrt(figures.shared.newVariance.lot ?? 0),
          perYearPercent: 0,
          units: used.units,
          checks: used.checks,
          lastUseDay: used.lastDay,
          verdict: "unjudged",
          note: "First used since the fleet was last learnt: nothing is known of it yet but what lots are usually off by.",
        },
      ];
    }
    const years = (used.lastDay - course.firstDay) / DAYS_A_YEAR;
    const level: [string, number][] = [[lotKey(lot.fluidLot), 1]];
    const rate: [string, number][] = [];
    for (const knee of course.kneeDays) {
      const since = years - knee / DAYS_A_YEAR;
      if (since <= 0) continue;
      level.push([ageingKey(lot.fluidLot, knee), since]);
      rate.push([ageingKey(lot.fluidLot, knee), 1]);
    }
    const { value, sd } = shared.combine(level);
    const allowance = Math.max(USUAL_ALLOWANCE, lot.expandedUncertainty ?? 0);
    const perYear = shared.combine(rate).value;
    const ages = (figures.shared.ageing[lot.fluidLot] ?? 0) > SURELY_AGEING;
    const { verdict, note } = judgeLot(value, sd, allowance, used.units, [
      ...(ages ? ["Its error changes as it ages."] : []),
      ...beyondCertificate(value, sd, lot.expandedUncertainty),
    ]);
    return [
      {
        fluidLot: lot.fluidLot,
        errorPercent: value,
        errorSd: sd,
        perYearPercent: perYear,
        units: used.units,
        checks: used.checks,
        lastUseDay: used.lastDay,
        verdict,
        note,
      },
    ];
  });
}

/** A lot within the tolerance's allowance may still be further off than its certificate says it can be. */
function beyondCertificate(value: number, sd: number, expandedUncertainty: number | null): string[] {
  return expandedUncertainty !== null && Math.abs(value) - 2 * sd > expandedUncertainty
    ? [`Further off than its certificate's own \u00b1${expandedUncertainty} %: ask its supplier.`]
    : [];
}

function judgeLot(
  value: number,
  sd: number,
  allowance: number,
  units: number,
  asides: readonly string[],
): { verdict: LotVerdict; note: string | null } {
  const beyond = normalCdf((-allowance - value) / sd) + normalCdf((value - allowance) / sd);
  const aside = asides.length > 0 ? asides.join(" ") : null;
  if (beyond >= UNSOUND) return { verdict: "unsound", note: aside };
  if (units < FEW_UNITS || sd > TELLS_NOTHING_SD) {
    return {
      verdict: "unjudged",
      note: "Too few units used this lot to tell it from them: check two more units with it and with another lot on one day.",
    };
  }
  return { verdict: beyond >= DOUBTFUL ? "doubtful" : "sound", note: aside };
}

/** Every site's bath by quarter: how far the fluid is from what the thermometer says. */
export function assessBaths(fleet: FleetChecks, figures: FleetFigures): BathAssessment[] {
  const shared = new SharedReader(figures);
  const units = fleet.sites.map(
    (site) => fleet.units.filter((u) => u.site === site && u.readings.count > 0).length,
  );
  return fleet.sites.flatMap((site, s): BathAssessment[] =>
    shared.quartersOf(site).map((quarter) => {
      const { value, sd } = shared.combine([
        [bathKey(site), 1],
        [quarterKey(site, quarter), 1],
      ]);
      const [fromDay, toDay] = quarterDays(quarter);
      return { site, fromDay, toDay, kelvin: value, kelvinSd: sd, units: units[s]! };
    }),
  );
}

/** Values of combinations of effects, with their uncertainty. */
class SharedReader {
  private readonly figures: FleetFigures;
  private readonly at: ReadonlyMap<string, number>;
  private readonly estimates: EffectEstimates;

  constructor(figures: FleetFigures) {
    this.figures = figures;
    this.at = new Map(figures.shared.keys.map((key, i) => [key, i]));
    this.estimates = estimatesOf(figures);
  }

  combine(parts: readonly (readonly [string, number])[]): { value: number; sd: number } {
    const found = parts.flatMap(([key, factor]) => {
      const effect = this.at.get(key);
      return effect === undefined ? [] : [{ effect, factor }];
    });
    const covariance = this.estimates.covariance(found.map((f) => f.effect));
    let mean = 0;
    let variance = 0;
    found.forEach((a, i) => {
      mean += a.factor * this.estimates.value[a.effect]!;
      found.forEach((b, j) => {
        variance += a.factor * b.factor * covariance[i * found.length + j]!;
      });
    });
    return { value: mean, sd: Math.sqrt(Math.max(0, variance)) };
  }

  quartersOf(site: string): number[] {
    const prefix = quarterKey(site, 0).slice(0, -1);
    return this.figures.shared.keys
      .filter((key) => key.startsWith(prefix))
      .map((key) => Number(key.slice(prefix.length)));
  }
}

function lotUse(fleet: FleetChecks) {
  const use = fleet.lots.map(() => ({
    units: 0,
    checks: 0,
    lastDay: Number.NEGATIVE_INFINITY,
    lastUnit: -1,
  }));
  fleet.units.forEach(({ readings }, unit) => {
    for (let i = 0; i < readings.count; i++) {
      const lot = use[readings.lot[i]!];
      if (!lot || readings.use[i] === 0 || (i > 0 && readings.check[i] === readings.check[i - 1])) continue;
      lot.checks++;
      lot.lastDay = Math.max(lot.lastDay, readings.day[i]!);
      if (lot.lastUnit !== unit) lot.units++;
      lot.lastUnit = unit;
    }
  });
  return use;
}
