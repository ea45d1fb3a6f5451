import type { FileRecord, HeldCounts, HeldRow, IngestReport } from "../../ingest/index.ts";
import type { SeenIntake } from "../access/scoped-held.ts";
import { heldFilter, type IntakeQuery } from "./intake-query.ts";

/** What came in, what was held back, and what is to be mended. */
export interface IntakePage {
  readonly query: IntakeQuery;
  /** Rows that are held back, whatever the query. */
  readonly waiting: number;
  /** Counts of the rows that the query leaves. */
  readonly counts: HeldCounts;
  /** One page of them, the latest first. */
  readonly rows: readonly HeldRow[];
  readonly pages: number;
  /** The latest first. */
  readonly files: readonly FileRecord[];
  readonly allFiles: number;
  /** What the names of all files shown begin with, up to a separator; empty where they share no folder. */
  readonly folder: string;
  /** Of the files that were just sent; null where none were. */
  readonly report: IngestReport | null;
}

const ROWS_PER_PAGE = 25;
const FILES_SHOWN = 30;

export async function intakePage(
  seen: SeenIntake,
  query: IntakeQuery,
  report: IngestReport | null = null,
): Promise<IntakePage> {
  const filter = heldFilter(query);
  const [waiting, counts, rows, files] = await Promise.all([
    seen.held.count({ state: "held" }),
    seen.held.count(filter),
    seen.held.list(filter, { offset: (query.page - 1) * ROWS_PER_PAGE, limit: ROWS_PER_PAGE }),
    seen.files(),
  ]);
  const shown = files.slice(-FILES_SHOWN).reverse();
  return {
    query,
    waiting: waiting.rows,
    counts,
    rows,
    pages: Math.ceil(counts.rows / ROWS_PER_PAGE),
    files: shown,
    allFiles: files.length,
    folder: sharedFolder(shown.map(({ file }) => file)),
    report,
  };
}

function sharedFolder([first = "", ...others]: readonly string[]): string {
  let end = first.length;
  for (const other of others) {
    let same = 0;
    while (same < end && other[same] === first[same]) same++;
    end = same;
  }
  return first.slice(0, end).replace(/[^\\/]*$/, "");
}
