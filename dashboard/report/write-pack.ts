import { mkdir, writeFile } from "node:fs/promises";
import { dirname, join, parse } from "node:path";
import { drawChart } from "../charts/draw.ts";
import { fleetChart } from "../charts/fleet.ts";
import { fleetPicture } from "../page-models/fleet-picture.ts";
import { toCsv } from "../tables/csv.ts";
import { packTables } from "./figures.ts";
import type { EvidencePack } from "./gather.ts";
import { renderPack } from "./page.ts";
import { packStyles } from "./styles.ts";

/**
 * Writes the pack: one HTML file, and beside it a CSV file for each table that has rows.
 *
 * @returns The files written, the page first.
 */
export async function writePack(pack: EvidencePack, file: string): Promise<string[]> {
  const { dir, name } = parse(file);
  const tables = packTables(pack);
  const fileNames = new Map(
    [...tables].filter(([, rows]) => rows.length > 0).map(([table]) => [table, `${name}-${table}.csv`]),
  );
  const page = renderPack(pack, {
    styles: await packStyles(),
    fleetPicture: await drawChart(fleetChart(fleetPicture(pack.run.assessment), "wide")),
    fileNames,
  });
  await mkdir(dirname(file), { recursive: true });
  await writeFile(file, page);
  const written = [file];
  for (const [table, csv] of fileNames) {
    const path = join(dir, csv);
    await writeFile(path, toCsv(tables.get(table)!));
    written.push(path);
  }
  return written;
}
