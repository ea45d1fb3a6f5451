import { mkdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { ChunkedFile } from "./chunked-file.ts";
import { cellsOf, READING_COLUMNS, registerTables } from "./columns.ts";
import type { DemoFleet } from "./demo-fleet.ts";

/** Writes the registers and all readings as one plain CSV each, without slips. */
export function writePlain(folder: string, fleet: DemoFleet): void {
  mkdirSync(folder, { recursive: true });
  writeRegisters(folder, fleet);
  const file = new ChunkedFile(join(folder, "readings.csv"));
  file.append(`${READING_COLUMNS.join(",")}\n`);
  for (const { checks } of fleet.histories()) {
    for (const check of checks) {
      for (const reading of check.readings) {
        const cells = cellsOf(check, reading);
        file.append(`${READING_COLUMNS.map((column) => cells[column]).join(",")}\n`);
      }
    }
  }
  file.close();
}

function writeRegisters(folder: string, fleet: DemoFleet): void {
  for (const [name, rows] of Object.entries(registerTables(fleet))) {
    writeFileSync(join(folder, `${name}.csv`), `${rows.map((row) => row.join(",")).join("\n")}\n`);
  }
}
