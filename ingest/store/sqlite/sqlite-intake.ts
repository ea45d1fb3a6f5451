import type { StatementSync } from "node:sqlite";
import type { HeldState, KeptWay } from "../held.ts";
import { heldDigest } from "../held-digest.ts";
import type { FileIntake, FileRecord, QuarantinedRow, RowPlace } from "../store.ts";
import { tookIn } from "../took-in.ts";
import { type RowsSetting, SqliteRows } from "./sqlite-rows.ts";

/** One file's transaction on SQLite, already begun. */
export class SqliteIntake extends SqliteRows implements FileIntake {
  readonly #file: string;
  readonly #takenInAtMs: number;
  readonly #hold: StatementSync;
  readonly #heldState: StatementSync;
  /** Numbers of ways of reading by their text: a file has one, or few. */
  readonly #ways = new Map<string, number>();
  /** Lines at which rows of earlier files are held: only there is it worth looking for one. */
  #heldLines: ReadonlySet<number> | null = null;

  constructor(setting: Omit<RowsSetting, "fileId">, file: string, takenInAtMs: number) {
    const { raw } = setting.connection;
    const fileId = Number(raw.prepare("SELECT coalesce(max(id), 0) + 1 AS id FROM file").get()?.id);
    super({ ...setting, fileId });
    this.#file = file;
    this.#takenInAtMs = takenInAtMs;
    // A row that is held already takes over how it is read now, by another profile, and what that says of it.
    this.#hold = raw.prepare(
      `INSERT INTO quarantined_row (file_id, line, "column", part, reason, message, raw, digest, way_id, instrument, site)
       VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)
       ON CONFLICT (digest) DO UPDATE SET reason = excluded.reason, message = excluded.message,
         way_id = excluded.way_id, instrument = excluded.instrument, site = excluded.site
       WHERE state = 'held' AND way_id IS NOT excluded.way_id`,
    );
    this.#heldState = raw.prepare("SELECT state FROM quarantined_row WHERE digest = ?");
  }

  async quarantine(rows: readonly QuarantinedRow[], way: KeptWay): Promise<HeldState[]> {
    return this.write(() => rows.map((row) => this.#holdOne(row, way)));
  }

  async heldLines(): Promise<ReadonlySet<number>> {
    this.#heldLines ??= this.#linesWithHeldRows();
    return this.#heldLines;
  }

  async settleHeld(rows: readonly RowPlace[], header: KeptWay["header"]): Promise<void> {
    this.write(() => {
      for (const row of rows) this.#settle(heldDigest(row, header));
    });
  }

  async commit(totals: Omit<FileRecord, "fileId" | "file" | "takenInAtMs">): Promise<void> {
    const isNew = this.write(() => this.#recordFile(totals));
    if (isNew) await this.tell(tookIn({ file: this.#file, takenInAtMs: this.#takenInAtMs, ...totals }));
    this.keep();
  }

  /** @returns Whether anything of it is new. */
  #recordFile(totals: Omit<FileRecord, "fileId" | "file" | "takenInAtMs">): boolean {
    const { raw } = this.connection;
    const before = raw
      .prepare("SELECT id FROM file WHERE sha256 = ? AND profile_sha256 = ?")
      .get(totals.sha256, totals.profileSha256);
    if (this.changed) raw.exec("UPDATE store_state SET revision = revision + 1");
    if (!this.changed && before !== undefined) return false;
    raw
      .prepare(
        `INSERT INTO file (id, file, kind, sha256, profile_sha256, taken_in_at_ms,
             "rows", accepted, repeated, quarantined, flagged)
           VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
      )
      .run(
        this.fileId,
        this.#file,
        totals.kind,
        totals.sha256,
        totals.profileSha256,
        this.#takenInAtMs,
        totals.rows,
        totals.accepted,
        totals.repeated,
        totals.quarantined,
        totals.flagged,
      );
    return true;
  }

  #holdOne(row: QuarantinedRow, way: KeptWay): HeldState {
    const { line, column, part, reason, message, raw, instrument, site } = row;
    const digest = heldDigest(row, way.header);
    const { changes } = this.#hold.run(
      this.fileId,
      line,
      column,
      part,
      reason,
      message,
      raw,
      digest,
      this.#idOfWay(JSON.stringify(way)),
      instrument,
      site,
    );
    if (this.note(Number(changes) > 0)) return "held";
    // It was there before.
    const { state } = this.#heldState.get(digest) as { state: HeldState };
    return state;
  }

  #idOfWay(way: string): number {
    const known = this.#ways.get(way);
    if (known !== undefined) return known;
    const { raw } = this.connection;
    const found = raw.prepare("SELECT id FROM way_of_reading WHERE way = ?").get(way);
    const id = Number(
      found?.id ?? raw.prepare("INSERT INTO way_of_reading (way) VALUES (?)").run(way).lastInsertRowid,
    );
    this.#ways.set(way, id);
    return id;
  }

  #linesWithHeldRows(): ReadonlySet<number> {
    const rows = this.connection.raw
      .prepare("SELECT DISTINCT line FROM quarantined_row WHERE state = 'held' AND file_id <> ?")
      .all(this.fileId);
    return new Set(rows.map(({ line }) => Number(line)));
  }

  #settle(digest: string): void {
    const { raw } = this.connection;
    const row = raw
      .prepare(
        "UPDATE quarantined_row SET state = 'accepted' WHERE digest = ? AND state = 'held' RETURNING id",
      )
      .get(digest);
    if (row === undefined) return;
    raw
      .prepare(
        `INSERT INTO held_decision (row_id, made_at_ms, action, outcome) VALUES (?, ?, 'sent-again', 'accepted')`,
      )
      .run(Number(row.id), this.#takenInAtMs);
    this.note(true);
  }
}
