import { IngestError } from "./errors.ts";
import type { HeldState, KeptWay } from "./store/held.ts";
import { nameAt, type ReadingBatch } from "./store/reading-batch.ts";
import type {
  FileIntake,
  FileRecord,
  FluidRecord,
  GeometryRecord,
  InstrumentRecord,
  QuarantinedRow,
  ResultRecord,
  RowIntake,
  RowPlace,
  ServiceRecord,
  StoredReading,
} from "./store/store.ts";

/**
 * What rows do to the store for somebody who brings only what belongs to some sites: the first row that belongs to
 * another one ends the work, and nothing of it stays. Lots and geometries belong to no site.
 */
export class RowsWithinSites implements RowIntake {
  readonly #intake: RowIntake;
  readonly #sites: ReadonlySet<string>;
  #siteOf: ReadonlyMap<string, string | null> | null = null;

  constructor(intake: RowIntake, sites: readonly string[]) {
    this.#intake = intake;
    this.#sites = new Set(sites);
  }

  async putInstruments(rows: readonly InstrumentRecord[]): Promise<boolean[]> {
    for (const { instrument, site } of rows) await this.#refuse(instrument, site, true);
    this.#siteOf = null;
    return this.#intake.putInstruments(rows);
  }

  async putServices(rows: readonly ServiceRecord[]): Promise<boolean[]> {
    for (const { instrument } of rows) await this.#refuse(instrument, null, true);
    return this.#intake.putServices(rows);
  }

  async putResults(rows: readonly ResultRecord[]): Promise<boolean[]> {
    for (const { instrument } of rows) await this.#refuse(instrument, null, true);
    return this.#intake.putResults(rows);
  }

  async addReadings(batch: ReadingBatch) {
    await this.#refuseReadings(batch);
    return this.#intake.addReadings(batch);
  }

  // What is stored of another site's unit is not told either.
  async areStored(batch: ReadingBatch) {
    await this.#refuseReadings(batch);
    return this.#intake.areStored(batch);
  }

  /** Rows that cannot be used: one that names neither a site nor a known unit may be anybody's. */
  async refuseOthers(rows: readonly Pick<QuarantinedRow, "instrument" | "site">[]): Promise<void> {
    for (const { instrument, site } of rows) await this.#refuse(instrument, site, false);
  }

  registers() {
    return this.#intake.registers();
  }
  // Lots and geometries belong to no site: new ones may be brought by anybody, and what all sites judge by is changed by
  // somebody who sees them all.
  async putFluids(rows: readonly FluidRecord[]) {
    const { fluids } = await this.#intake.registers();
    for (const row of rows) refuseChange("lot", row.fluidLot, fluids.get(row.fluidLot), row);
    return this.#intake.putFluids(rows);
  }
  async putGeometries(rows: readonly GeometryRecord[]) {
    const { geometries } = await this.#intake.registers();
    for (const row of rows) refuseChange("geometry", row.geometry, geometries.get(row.geometry), row);
    return this.#intake.putGeometries(rows);
  }
  countBetween(instrument: string, fromMs: number, untilMs: number) {
    return this.#intake.countBetween(instrument, fromMs, untilMs);
  }
  readingsBetween(instrument: string, fromMs: number, untilMs: number) {
    return this.#intake.readingsBetween(instrument, fromMs, untilMs);
  }
  readingsOfLots(fluidLots: readonly string[]) {
    return this.#intake.readingsOfLots(fluidLots);
  }
  setFlags(instrument: string, rows: readonly Pick<StoredReading, "checkedAtMs" | "speedRpm" | "flags">[]) {
    return this.#intake.setFlags(instrument, rows);
  }
  rollback() {
    return this.#intake.rollback();
  }

  async #refuseReadings({ count, instrument, site, names }: ReadingBatch): Promise<void> {
    for (let i = 0; i < count; i++) {
      if (i > 0 && instrument[i] === instrument[i - 1] && site[i] === site[i - 1]) continue;
      await this.#refuse(names.instruments[instrument[i]!]!, nameAt(names.sites, site[i]!), true);
    }
  }

  /** Both the site at which the register has a unit and the one that its row names must be among the sites. */
  async #refuse(instrument: string | null, said: string | null, mustBeKnown: boolean): Promise<void> {
    this.#siteOf ??= new Map(
      [...(await this.#intake.registers()).instruments.values()].map((unit) => [unit.instrument, unit.site]),
    );
    const registered = instrument === null ? undefined : this.#siteOf.get(instrument);
    const places = [...(registered === undefined ? [] : [registered]), ...(said === null ? [] : [said])];
    const isOthers = places.some((site) => site === null || !this.#sites.has(site));
    if (isOthers || (mustBeKnown && places.length === 0)) throw otherSite(instrument ?? said ?? "");
  }
}

function refuseChange<Row extends object>(
  kind: string,
  name: string,
  stored: Row | undefined,
  row: Row,
): void {
  const isSame = (Object.keys(row) as (keyof Row)[]).every((key) => row[key] === stored?.[key]);
  if (stored === undefined || isSame) return;
  throw new IngestError(
    "other-site",
    `The ${kind} "${name}" is registered otherwise, and other sites judge by it: have the change sent by somebody who sees all sites. Nothing of this file was kept.`,
  );
}

/** The same for one file's transaction. */
export class FileWithinSites extends RowsWithinSites implements FileIntake {
  readonly #file: FileIntake;

  constructor(file: FileIntake, sites: readonly string[]) {
    super(file, sites);
    this.#file = file;
  }

  async quarantine(rows: readonly QuarantinedRow[], way: KeptWay): Promise<HeldState[]> {
    await this.refuseOthers(rows);
    return this.#file.quarantine(rows, way);
  }
  heldLines() {
    return this.#file.heldLines();
  }
  settleHeld(rows: readonly RowPlace[], header: KeptWay["header"]) {
    return this.#file.settleHeld(rows, header);
  }
  commit(totals: Omit<FileRecord, "fileId" | "file" | "takenInAtMs">) {
    return this.#file.commit(totals);
  }
}

function otherSite(instrument: string): IngestError {
  return new IngestError(
    "other-site",
    `"${instrument}" is no unit of your sites, and you send for those only: take its rows out, or have them sent by somebody who sees that site. Nothing was kept.`,
  );
}
