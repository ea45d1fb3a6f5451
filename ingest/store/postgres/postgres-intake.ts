import type { HeldState, KeptWay } from "../held.ts";
import { heldDigest } from "../held-digest.ts";
import type { FileIntake, FileRecord, QuarantinedRow, RowPlace } from "../store.ts";
import { tookIn } from "../took-in.ts";
import { appendTrail } from "../trail-queries.ts";
import { PostgresRows, type RowsSetting } from "./postgres-rows.ts";
import type { Session } from "./session.ts";

/** Begins a file within a transaction that is begun already. */
export async function beginIntake(
  setting: Omit<RowsSetting, "fileId">,
  file: string,
  takenInAtMs: number,
): Promise<FileIntake> {
  const [next] = await setting.session.all<{ id: number }>("SELECT coalesce(max(id), 0) + 1 AS id FROM file");
  return new PostgresIntake({ ...setting, fileId: next!.id }, file, takenInAtMs);
}

/** One file's transaction on PostgreSQL. */
class PostgresIntake extends PostgresRows implements FileIntake {
  readonly #file: string;
  readonly #takenInAtMs: number;
  /** Numbers of ways of reading by their text: a file has one, or few. */
  readonly #ways = new Map<string, number>();
  /** Lines at which rows of earlier files are held: only there is it worth looking for one. */
  #heldLines: ReadonlySet<number> | null = null;

  constructor(setting: RowsSetting, file: string, takenInAtMs: number) {
    super(setting);
    this.#file = file;
    this.#takenInAtMs = takenInAtMs;
  }

  async quarantine(rows: readonly QuarantinedRow[], way: KeptWay): Promise<HeldState[]> {
    if (rows.length === 0) return [];
    const digests = rows.map((row) => heldDigest(row, way.header));
    const wayId = await this.#idOfWay(JSON.stringify(way));
    const firstOf = new Map<string, QuarantinedRow>();
    rows.forEach((row, i) => {
      if (!firstOf.has(digests[i]!)) firstOf.set(digests[i]!, row);
    });
    const once = [...firstOf].map(([digest, row]) => ({ ...row, digest }));
    // A row that is held already takes over how it is read now, by another profile, and what that says of it.
    const changes = await this.session.run(
      `INSERT INTO quarantined_row AS stored
         (id, file_id, line, "column", part, reason, message, raw, digest, way_id, instrument, site)
       SELECT (SELECT coalesce(max(id), 0) FROM quarantined_row) + place,
         $1::bigint, line, col, part, reason, message, raw, digest, $2::bigint, instrument, site
       FROM unnest($3::bigint[], $4::bigint[], $5::bigint[], $6::text[], $7::text[], $8::text[], $9::text[], $10::text[], $11::text[])
         WITH ORDINALITY AS new (line, col, part, reason, message, raw, digest, instrument, site, place)
       ON CONFLICT (digest) DO UPDATE SET reason = excluded.reason, message = excluded.message,
         way_id = excluded.way_id, instrument = excluded.instrument, site = excluded.site
       WHERE stored.state = 'held' AND stored.way_id IS DISTINCT FROM excluded.way_id`,
      [
        this.fileId,
        wayId,
        once.map(({ line }) => line),
        once.map(({ column }) => column),
        once.map(({ part }) => part),
        once.map(({ reason }) => reason),
        once.map(({ message }) => message),
        once.map(({ raw }) => raw),
        once.map(({ digest }) => digest),
        once.map(({ instrument }) => instrument),
        once.map(({ site }) => site),
      ],
    );
    this.changed ||= changes > 0;
    return statesOf(this.session, digests);
  }

  async heldLines(): Promise<ReadonlySet<number>> {
    this.#heldLines ??= await this.#linesWithHeldRows();
    return this.#heldLines;
  }

  async settleHeld(rows: readonly RowPlace[], header: KeptWay["header"]): Promise<void> {
    const digests = rows.map((row) => heldDigest(row, header));
    const settled = await this.session.run(
      `WITH settled AS (
         UPDATE quarantined_row SET state = 'accepted' WHERE digest = ANY($1::text[]) AND state = 'held' RETURNING id)
       INSERT INTO held_decision (id, row_id, made_at_ms, action, outcome)
       SELECT (SELECT coalesce(max(id), 0) FROM held_decision) + row_number() OVER (ORDER BY id),
         id, $2, 'sent-again', 'accepted'
       FROM settled`,
      [digests, this.#takenInAtMs],
    );
    this.changed ||= settled > 0;
  }

  async commit(totals: Omit<FileRecord, "fileId" | "file" | "takenInAtMs">): Promise<void> {
    const before = await this.session.all("SELECT id FROM file WHERE sha256 = $1 AND profile_sha256 = $2", [
      totals.sha256,
      totals.profileSha256,
    ]);
    if (this.changed) await this.countUp();
    if (this.changed || before.length === 0) {
      await this.session.run(
        `INSERT INTO file (id, file, kind, sha256, profile_sha256, taken_in_at_ms,
           "rows", accepted, repeated, quarantined, flagged)
         VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11)`,
        [
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
        ],
      );
      await appendTrail(
        this.session.queries,
        tookIn({ file: this.#file, takenInAtMs: this.#takenInAtMs, ...totals }),
      );
    }
    await this.keep();
  }

  async #idOfWay(way: string): Promise<number> {
    const known = this.#ways.get(way);
    if (known !== undefined) return known;
    const [found] = await this.session.all<{ id: number }>("SELECT id FROM way_of_reading WHERE way = $1", [
      way,
    ]);
    const [added] =
      found === undefined
        ? await this.session.all<{ id: number }>(
            "INSERT INTO way_of_reading (id, way) SELECT coalesce(max(id), 0) + 1, $1 FROM way_of_reading RETURNING id",
            [way],
          )
        : [found];
    const { id } = added!;
    this.#ways.set(way, id);
    return id;
  }

  async #linesWithHeldRows(): Promise<ReadonlySet<number>> {
    const rows = await this.session.arrays<[number]>(
      "SELECT DISTINCT line FROM quarantined_row WHERE state = 'held' AND file_id <> $1",
      [this.fileId],
    );
    return new Set(rows.map(([line]) => line));
  }
}

async function statesOf(session: Session, digests: readonly string[]): Promise<HeldState[]> {
  const states = new Map(
    await session.arrays<[string, HeldState]>(
      "SELECT digest, state FROM quarantined_row WHERE digest = ANY($1::text[])",
      [digests],
    ),
  );
  return digests.map((digest) => states.get(digest)!);
}
