import { flagOutliers } from "../readings/flag-outliers.ts";
import { flagReading } from "../readings/flags.ts";
import { Touched } from "../readings/touched.ts";
import { Tally } from "../report.ts";
import { flagBits } from "../store/flag-bits.ts";
import type { LotReading, RowIntake } from "../store/store.ts";

const OUTLIER = flagBits(["outlier"]);

/** Brings the flags of stored readings in line with certificates that came, or changed, after them. */
export async function reflagLots(intake: RowIntake, fluidLots: ReadonlySet<string>): Promise<void> {
  if (fluidLots.size === 0) return;
  const { fluids } = await intake.registers();
  const changed = new Map<string, LotReading[]>();
  const touched = new Touched();
  for await (const reading of intake.readingsOfLots([...fluidLots])) {
    const lot = reading.fluidLot === null ? undefined : fluids.get(reading.fluidLot);
    const flags = flagBits(flagReading(reading, lot)) | (reading.flags & OUTLIER);
    if (flags === reading.flags) continue;
    const ofInstrument = changed.get(reading.instrument) ?? [];
    ofInstrument.push({ ...reading, flags });
    changed.set(reading.instrument, ofInstrument);
    touched.add(reading.instrument, reading.checkedAtMs);
  }
  for (const [instrument, readings] of changed) await intake.setFlags(instrument, readings);
  // Which readings a check is compared by may have changed. They are none of this file's, so nobody counts them.
  await flagOutliers(intake, touched.spans(), new Tally());
}
