import type { HeldDecision, Rereading } from "../held.ts";
import { insertHeldDecision } from "../held-queries.ts";
import type { ReadingBatch } from "../reading-batch.ts";
import type { ReadingOutcome } from "../store.ts";
import { PostgresRows, type RowsSetting } from "./postgres-rows.ts";

/** Begins to read a held row again, within a transaction that is begun already. */
export async function beginRereading(
  setting: Omit<RowsSetting, "fileId">,
  id: number,
  replace: boolean,
): Promise<Rereading> {
  const [row] = await setting.session.all<{ file_id: number }>(
    "SELECT file_id FROM quarantined_row WHERE id = $1",
    [id],
  );
  return new PostgresRereading({ ...setting, fileId: row!.file_id }, id, replace);
}

/** One held row's transaction: what it brings counts as brought by the file in which it came. */
class PostgresRereading extends PostgresRows implements Rereading {
  readonly #rowId: number;
  readonly #replace: boolean;
  readonly #replaced: unknown[] = [];

  constructor(setting: RowsSetting, rowId: number, replace: boolean) {
    super(setting);
    this.#rowId = rowId;
    this.#replace = replace;
  }

  override async addReadings(batch: ReadingBatch): Promise<ReadingOutcome[]> {
    if (this.#replace) for (let i = 0; i < batch.count; i++) await this.#takeOut(batch, i);
    return super.addReadings(batch);
  }

  async settle(decision: HeldDecision): Promise<HeldDecision> {
    const replaced = this.#replaced.length === 0 ? null : JSON.stringify(this.#replaced);
    await insertHeldDecision(this.session.queries, this.#rowId, { ...decision, replaced });
    await this.countUp();
    await this.keep();
    return { ...decision, replaced };
  }

  async #takeOut({ instrument, checkedAtMs, speedRpm, names }: ReadingBatch, i: number): Promise<void> {
    const key = [names.instruments[instrument[i]!]!, checkedAtMs[i]!, speedRpm[i]!];
    const where =
      "instrument_id = (SELECT id FROM instrument WHERE name = $1) AND checked_at_ms = $2 AND speed_rpm = $3";
    const stored = await this.session.all(
      `SELECT reading.*, file.file, fluid_lot.name AS fluid_lot
       FROM reading JOIN file ON file.id = file_id LEFT JOIN fluid_lot ON fluid_lot.id = fluid_lot_id
       WHERE ${where}`,
      key,
    );
    this.#replaced.push(...stored);
    await this.session.run(`DELETE FROM reading WHERE ${where}`, key);
  }
}
