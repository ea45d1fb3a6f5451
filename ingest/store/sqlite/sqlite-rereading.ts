import type { HeldDecision, Rereading } from "../held.ts";
import { insertHeldDecision } from "../held-queries.ts";
import type { ReadingBatch } from "../reading-batch.ts";
import type { ReadingOutcome } from "../store.ts";
import { type RowsSetting, SqliteRows } from "./sqlite-rows.ts";

/** Begins to read a held row again, within a transaction that is begun already. */
export function beginRereading(
  setting: Omit<RowsSetting, "fileId">,
  id: number,
  replace: boolean,
): Rereading {
  const row = setting.connection.raw.prepare("SELECT file_id FROM quarantined_row WHERE id = ?").get(id);
  return new SqliteRereading({ ...setting, fileId: Number(row?.file_id) }, id, replace);
}

/** One held row's transaction: what it brings counts as brought by the file in which it came. */
class SqliteRereading extends SqliteRows implements Rereading {
  readonly #rowId: number;
  readonly #replace: boolean;
  readonly #replaced: unknown[] = [];

  constructor(setting: RowsSetting, rowId: number, replace: boolean) {
    super(setting);
    this.#rowId = rowId;
    this.#replace = replace;
  }

  override async addReadings(batch: ReadingBatch): Promise<ReadingOutcome[]> {
    if (this.#replace) for (let i = 0; i < batch.count; i++) this.#takeOut(batch, i);
    return super.addReadings(batch);
  }

  async settle(decision: HeldDecision): Promise<HeldDecision> {
    const replaced = this.#replaced.length === 0 ? null : JSON.stringify(this.#replaced);
    const { queries, raw } = this.connection;
    await insertHeldDecision(queries, this.#rowId, { ...decision, replaced });
    this.write(() => raw.exec("UPDATE store_state SET revision = revision + 1"));
    this.keep();
    return { ...decision, replaced };
  }

  #takeOut({ instrument, checkedAtMs, speedRpm, names }: ReadingBatch, i: number): void {
    const { raw } = this.connection;
    const key = [names.instruments[instrument[i]!]!, checkedAtMs[i]!, speedRpm[i]!];
    const where =
      "instrument_id = (SELECT id FROM instrument WHERE name = ?) AND checked_at_ms = ? AND speed_rpm = ?";
    const stored = raw
      .prepare(
        `SELECT reading.*, file.file, fluid_lot.name AS fluid_lot
         FROM reading JOIN file ON file.id = file_id LEFT JOIN fluid_lot ON fluid_lot.id = fluid_lot_id
         WHERE ${where}`,
      )
      .get(...key);
    if (stored === undefined) return;
    this.#replaced.push(stored);
    raw.prepare(`DELETE FROM reading WHERE ${where}`).run(...key);
  }
}
