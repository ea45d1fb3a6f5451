import type { ToleranceRule } from "../../analysis/index.ts";
import { type FluidRecord, flagBits, type ReadingColumns } from "../../ingest/index.ts";
import type { Settings } from "../settings.ts";
import type { DatedSettings } from "../settings-in-force.ts";

/** Settings as the analysis and the stored checks take them. */

export function toleranceRuleOf(settings: Settings): ToleranceRule {
  const { tolerance } = settings;
  return {
    fluidPercent: tolerance.fluid_percent,
    instrumentPercent: tolerance.instrument_percent,
    accessoryPercent: tolerance.accessory_percent,
    combine: tolerance.combine,
    perGeometry: Object.fromEntries(
      Object.entries(tolerance.per_geometry).map(([geometry, shares]) => [
        geometry,
        {
          ...(shares.fluid_percent !== undefined && { fluidPercent: shares.fluid_percent }),
          ...(shares.instrument_percent !== undefined && { instrumentPercent: shares.instrument_percent }),
          ...(shares.accessory_percent !== undefined && { accessoryPercent: shares.accessory_percent }),
          ...(shares.combine !== undefined && { combine: shares.combine }),
        },
      ]),
    ),
  };
}

/** What a check is judged by, from an instant on. */
export interface Rules {
  readonly fromMs: number;
  readonly tolerance: ToleranceRule;
  readonly temperature: Settings["temperature"];
}

export function rulesOf({ fromMs, settings }: DatedSettings): Rules {
  return { fromMs, tolerance: toleranceRuleOf(settings), temperature: settings.temperature };
}

export function rulesAt(rules: readonly Rules[], ms: number): Rules {
  let i = rules.length - 1;
  while (rules[i]!.fromMs > ms) i--;
  return rules[i]!;
}

const TEMPERATURE_OFF = flagBits(["temperature-off"]);
/** Room for the rounding of binary fractions at a limit. */
const ROUNDING = 1e-9;

/** Flags as stored, but for the temperature: how far off it may be is a setting. */
export function flagsByRules(
  columns: ReadingColumns,
  fluidOf: ReadonlyMap<string, FluidRecord>,
  rules: readonly Rules[],
): ReadingColumns["flags"] {
  const certificateC = columns.names.fluidLots.map(
    (name) => fluidOf.get(name)?.referenceTemperatureC ?? null,
  );
  return columns.flags.map((flags, row) => {
    const { reference_c, allowed_k } = rulesAt(rules, columns.checkedAtMs[row]!).temperature;
    const reference = certificateC[columns.fluidLot[row]!] ?? reference_c;
    const isOff = Math.abs(columns.temperatureC[row]! - reference) > allowed_k + ROUNDING;
    return isOff ? flags | TEMPERATURE_OFF : flags & ~TEMPERATURE_OFF;
  });
}
