import { mkdtempSync, readdirSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { type ReferenceRow, ROWS_FOLDER, referenceTable } from "./reference-table.ts";

/** Gives the reference tests a folder for their rows, and prints them as one table when all tests have run. */
export default function setUp(): () => void {
  const folder = mkdtempSync(join(tmpdir(), "springtide-reference-"));
  process.env[ROWS_FOLDER] = folder;
  return () => {
    const rows = readdirSync(folder)
      .flatMap((file) => readFileSync(join(folder, file), "utf8").trim().split("\n"))
      .map((line): ReferenceRow => JSON.parse(line));
    rmSync(folder, { recursive: true });
    if (rows.length > 0) process.stdout.write(`\n${referenceTable(rows)}\n`);
  };
}
