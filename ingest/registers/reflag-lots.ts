import { flagReading } from "../readings/flags.ts";
import { flagBits } from "../store/flag-bits.ts";
import type { FileIntake, LotReading } from "../store/store.ts";

const OUTLIER = flagBits(["outlier"]);

/**
 * Brings the flags of stored readings in line with certificates that came, or changed, after them.
 *
 * @remarks The outlier flag rests on the check alone and stays.
 */
export async function reflagLots(intake: FileIntake, fluidLots: ReadonlySet<string>): Promise<void> {
  if (fluidLots.size === 0) return;
  const { fluids } = await intake.registers();
  const changed = new Map<string, LotReading[]>();
  for await (const reading of intake.readingsOfLots([...fluidLots])) {
    const lot = reading.fluidLot === null ? undefined : fluids.get(reading.fluidLot);
    const flags = flagBits(flagReading(reading, lot)) | (reading.flags & OUTLIER);
    if (flags === reading.flags) continue;
    const ofInstrument = changed.get(reading.instrument) ?? [];
    ofInstrument.push({ ...reading, flags });
    changed.set(reading.instrument, ofInstrument);
  }
  for (const [instrument, readings] of changed) await intake.setFlags(instrument, readings);
}
