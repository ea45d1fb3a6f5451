import type { Kysely } from "kysely";
import { insertFinding, insertFindingDecision, selectFindings, selectResults } from "./finding-queries.ts";
import type { FindingDecision, OutFinding } from "./findings.ts";
import type { Rereading } from "./held.ts";
import type { FrozenLimit, Judgement, KeptFigures, KeptRecord, SettingsChange } from "./kept.ts";
import {
  insertFigures,
  insertFrozenLimits,
  insertJudgement,
  insertRecord,
  insertSettingsChange,
  selectFigures,
  selectFrozenLimits,
  selectJudgements,
  selectRecord,
  selectSettingsChanges,
} from "./kept-queries.ts";
import { QueriedAccounts } from "./queried-accounts.ts";
import { QueriedBookings } from "./queried-bookings.ts";
import { QueriedHeld } from "./queried-held.ts";
import { QueriedNotices } from "./queried-notices.ts";
import { QueriedTrail } from "./queried-trail.ts";
import { selectFluids, selectGeometries, selectInstruments, selectServices } from "./register-queries.ts";
import type { FileRecord, QuarantinedRow, ResultRecord } from "./store.ts";
import type { Tables } from "./tables.ts";

/** The part of a store that is the same on every database: what needs neither bulk nor a dialect of its own. */
export abstract class QueriedStore {
  readonly held = new QueriedHeld({
    reads: () => this.reads,
    write: (change) => this.#change(change),
    beginRereading: (id, how) => this.beginRereading(id, how),
  });

  readonly trail = new QueriedTrail({
    reads: () => this.reads,
    write: (change) => this.write(change),
  });

  readonly bookings = new QueriedBookings({
    reads: () => this.reads,
    write: (change) => this.#change(change),
  });

  readonly accounts = new QueriedAccounts({
    reads: () => this.reads,
    write: (change) => this.write(change),
  });

  readonly notices = new QueriedNotices({
    reads: () => this.reads,
    write: (change) => this.write(change),
  });

  protected abstract readonly reads: Kysely<Tables>;
  /** One transaction of its own, between files. */
  protected abstract write<T>(change: (db: Kysely<Tables>) => Promise<T>): Promise<T>;
  protected abstract beginRereading(id: number, how: { readonly replace: boolean }): Promise<Rereading>;

  async revision(): Promise<number> {
    const row = await this.reads.selectFrom("store_state").select("revision").executeTakeFirstOrThrow();
    return row.revision;
  }

  async fileTakenIn(sha256: string, profileSha256: string): Promise<FileRecord | null> {
    const row = await this.#files()
      .where("sha256", "=", sha256)
      .where("profile_sha256", "=", profileSha256)
      .orderBy("id", "desc")
      .executeTakeFirst();
    return row ?? null;
  }

  instruments(instrument?: string) {
    return selectInstruments(this.reads, instrument);
  }

  services(instrument?: string) {
    return selectServices(this.reads, instrument);
  }

  fluids() {
    return selectFluids(this.reads);
  }

  geometries() {
    return selectGeometries(this.reads);
  }

  files(): Promise<FileRecord[]> {
    return this.#files().orderBy("id").execute();
  }

  quarantined(): Promise<(QuarantinedRow & { readonly file: string })[]> {
    return this.reads
      .selectFrom("quarantined_row as row")
      .innerJoin("file", "file.id", "row.file_id")
      .select([
        "file.file",
        "row.line",
        "row.column",
        "row.part",
        "row.reason",
        "row.message",
        "row.raw",
        "row.instrument",
        "row.site",
      ])
      .where("row.state", "=", "held")
      .orderBy("row.id")
      .execute();
  }

  results(instrument: string, fromMs: number, untilMs: number): Promise<ResultRecord[]> {
    return selectResults(this.reads, instrument, fromMs, untilMs);
  }

  findings(): Promise<OutFinding[]> {
    return selectFindings(this.reads);
  }

  openFinding(finding: Omit<OutFinding, "id" | "decisions">): Promise<number> {
    return this.#change((db) => insertFinding(db, finding));
  }

  decideFinding(id: number, decision: FindingDecision): Promise<void> {
    return this.#change((db) => insertFindingDecision(db, id, decision));
  }

  figures(asOf: string, basis: string): Promise<KeptFigures | null> {
    return selectFigures(this.reads, asOf, basis);
  }

  keepFigures(figures: KeptFigures): Promise<void> {
    return this.write((db) => insertFigures(db, figures));
  }

  record(asOf: string, basis: string): Promise<KeptRecord | null> {
    return selectRecord(this.reads, asOf, basis);
  }

  keepRecord(record: KeptRecord): Promise<void> {
    return this.write((db) => insertRecord(db, record));
  }

  frozenLimits(instrument?: string): Promise<FrozenLimit[]> {
    return selectFrozenLimits(this.reads, instrument);
  }

  async keepLimits(limits: readonly FrozenLimit[]): Promise<void> {
    if (limits.length > 0) await this.write((db) => insertFrozenLimits(db, limits));
  }

  settingsChanges(): Promise<SettingsChange[]> {
    return selectSettingsChanges(this.reads);
  }

  changeSettings(change: SettingsChange): Promise<void> {
    return this.#change((db) => insertSettingsChange(db, change));
  }

  judgements(): Promise<Judgement[]> {
    return selectJudgements(this.reads);
  }

  addJudgement(judgement: Omit<Judgement, "id">): Promise<number> {
    return this.#change((db) => insertJudgement(db, judgement));
  }

  #files() {
    return this.reads
      .selectFrom("file")
      .select([
        "id as fileId",
        "file",
        "kind",
        "sha256",
        "profile_sha256 as profileSha256",
        "taken_in_at_ms as takenInAtMs",
        "rows",
        "accepted",
        "repeated",
        "quarantined",
        "flagged",
      ]);
  }

  /** A change of the data: the revision grows with it. */
  #change<T>(change: (db: Kysely<Tables>) => Promise<T>): Promise<T> {
    return this.write(async (db) => {
      const result = await change(db);
      await db
        .updateTable("store_state")
        .set((of) => ({ revision: of("revision", "+", 1) }))
        .execute();
      return result;
    });
  }
}
