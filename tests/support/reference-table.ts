import assert from "node:assert/strict";
import { appendFileSync, readFileSync } from "node:fs";
import { join } from "node:path";

/** Environment variable with the folder that collects the rows; unset when a test runs without the global setup. */
export const ROWS_FOLDER = "SPRINGTIDE_REFERENCE_ROWS";

/** How far a figure may be from its source: relative to the expected value, or in its own unit. */
export type Allowed = { readonly relative: number } | { readonly absolute: number };

export interface ReferenceRow {
  readonly statistic: string;
  readonly source: string;
  /** How many figures the row stands for; `expected` and `got` are those of the largest deviation. */
  readonly figures: number;
  readonly expected: number;
  readonly got: number;
  readonly deviation: number;
  readonly allowed: Allowed;
}

/** Reads a file of tests/reference-data. The caller names the shape that it uses. */
export function referenceData<Shape>(name: string): Shape {
  return JSON.parse(readFileSync(join(import.meta.dirname, "../reference-data", `${name}.json`), "utf8"));
}

/**
 * Holds figures against their source: fails where one is further off than allowed, and puts a row into the table
 * that is printed at the end of the run.
 *
 * @param source Short name of the book, paper or data set; its place stands in the reference file.
 * @param expected One figure or many, in the order of `got`.
 */
export function againstSource(
  statistic: string,
  source: string,
  expected: number | ArrayLike<number>,
  got: number | ArrayLike<number>,
  allowed: Allowed,
): void {
  const wanted = typeof expected === "number" ? [expected] : Array.from(expected);
  const seen = typeof got === "number" ? [got] : Array.from(got);
  assert.equal(
    seen.length,
    wanted.length,
    `${statistic}: ${seen.length} figures for ${wanted.length} expected`,
  );
  assert.ok(wanted.length > 0, `${statistic}: nothing to compare`);

  let worst = -1;
  let deviation = -1;
  for (const [i, value] of wanted.entries()) {
    const off = deviationOf(value, seen[i]!, allowed);
    if (!(off <= deviation)) {
      worst = i;
      deviation = off;
    }
    if (Number.isNaN(off)) break;
  }
  const row = {
    statistic,
    source,
    figures: wanted.length,
    expected: wanted[worst]!,
    got: seen[worst]!,
    deviation,
    allowed,
  };
  record(row);
  const limit = "relative" in allowed ? allowed.relative : allowed.absolute;
  assert.ok(deviation <= limit, `${statistic} (${source}): expected ${row.expected}, got ${row.got}`);
}

function deviationOf(expected: number, got: number, allowed: Allowed): number {
  if (expected === got) return 0;
  return Math.abs(got - expected) / ("relative" in allowed ? Math.abs(expected) : 1);
}

function record(row: ReferenceRow): void {
  const folder = process.env[ROWS_FOLDER];
  // One file a process: workers write at the same time.
  if (folder !== undefined) appendFileSync(join(folder, `${process.pid}.ndjson`), `${JSON.stringify(row)}\n`);
}

/** The collected rows as aligned text, by source. */
export function referenceTable(rows: readonly ReferenceRow[]): string {
  const heads = ["source", "statistic", "figures", "expected", "got", "deviation", "allowed"];
  const lines = [...rows]
    .sort((a, b) => a.source.localeCompare(b.source) || a.statistic.localeCompare(b.statistic))
    .map((row) => [
      row.source,
      row.statistic,
      String(row.figures),
      String(Number(row.expected.toPrecision(9))),
      String(Number(row.got.toPrecision(9))),
      row.deviation === 0 ? "0" : row.deviation.toExponential(1),
      "relative" in row.allowed ? `${row.allowed.relative} of value` : String(row.allowed.absolute),
    ]);
  const table = [heads, ...lines];
  const widths = heads.map((_, column) => Math.max(...table.map((line) => line[column]!.length)));
  const isNumber = (column: number) => column >= 2;
  return [
    "Every statistic against its source (of many figures the one furthest off is shown)",
    ...table.map((line) =>
      line
        .map((cell, column) =>
          isNumber(column) ? cell.padStart(widths[column]!) : cell.padEnd(widths[column]!),
        )
        .join("  ")
        .trimEnd(),
    ),
  ].join("\n");
}
