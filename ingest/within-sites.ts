import { IngestError } from "./errors.ts";
import type { HeldState, KeptWay } from "./store/held.ts";
import type {
  FileIntake,
  FileRecord,
  FluidRecord,
  GeometryRecord,
  InstrumentRecord,
  QuarantinedRow,
  ReadingRecord,
  ResultRecord,
  RowPlace,
  ServiceRecord,
  StoredReading,
} from "./store/store.ts";

/**
 * One file's transaction for somebody who brings only what belongs to some sites: the first row that belongs to another
 * one ends the file, and nothing of it stays. Lots and geometries belong to no site.
 */
export class WithinSites implements FileIntake {
  readonly #intake: FileIntake;
  readonly #sites: ReadonlySet<string>;
  #siteOf: ReadonlyMap<string, string | null> | null = null;

  constructor(intake: FileIntake, sites: readonly string[]) {
    this.#intake = intake;
    this.#sites = new Set(sites);
  }

  async putInstruments(rows: readonly InstrumentRecord[]): Promise<boolean[]> {
    for (const { instrument, site } of rows) {
      await this.#refuseOthers(instrument, site);
      if (site === null || !this.#sites.has(site)) throw otherSite(instrument);
    }
    this.#siteOf = null;
    return this.#intake.putInstruments(rows);
  }

  async putServices(rows: readonly ServiceRecord[]): Promise<boolean[]> {
    for (const { instrument } of rows) await this.#refuseOthers(instrument, null);
    return this.#intake.putServices(rows);
  }

  async putResults(rows: readonly ResultRecord[]): Promise<boolean[]> {
    for (const { instrument } of rows) await this.#refuseOthers(instrument, null);
    return this.#intake.putResults(rows);
  }

  async addReadings(rows: readonly ReadingRecord[]) {
    for (const { instrument, site } of rows) await this.#refuseOthers(instrument, site);
    return this.#intake.addReadings(rows);
  }

  registers() {
    return this.#intake.registers();
  }
  putFluids(rows: readonly FluidRecord[]) {
    return this.#intake.putFluids(rows);
  }
  putGeometries(rows: readonly GeometryRecord[]) {
    return this.#intake.putGeometries(rows);
  }
  areStored(rows: readonly ReadingRecord[]) {
    return this.#intake.areStored(rows);
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
  quarantine(rows: readonly QuarantinedRow[], way: KeptWay): Promise<HeldState[]> {
    return this.#intake.quarantine(rows, way);
  }
  settleHeld(rows: readonly RowPlace[], header: KeptWay["header"]) {
    return this.#intake.settleHeld(rows, header);
  }
  commit(totals: Omit<FileRecord, "fileId" | "file" | "takenInAtMs">) {
    return this.#intake.commit(totals);
  }
  rollback() {
    return this.#intake.rollback();
  }

  /** A unit is where the register has it; one that is not there yet, where its row says. */
  async #refuseOthers(instrument: string, saidSite: string | null): Promise<void> {
    this.#siteOf ??= new Map(
      [...(await this.#intake.registers()).instruments.values()].map((unit) => [unit.instrument, unit.site]),
    );
    const registered = this.#siteOf.get(instrument);
    const site = registered === undefined ? saidSite : registered;
    if (site === null || !this.#sites.has(site)) throw otherSite(instrument);
  }
}

function otherSite(instrument: string): IngestError {
  return new IngestError(
    "other-site",
    `"${instrument}" is no unit of your sites, and you send for those only: take its rows out, or have them sent by somebody who sees that site. Nothing of this file was kept.`,
  );
}
