import { NOW, writeFiles } from "../ingest/support/scratch.ts";

const HEADER = "instrument,checked_at,speed_rpm,full_scale_range_mpas,reading_mpas,fluid_lot,site\n";

/** Twenty files: registers and readings, some of them held back, some shared by two files. */
export function twentyFiles(folder: string): string {
  const reading = (unit: number, i: number) =>
    `U-${unit},${new Date(NOW - (i + 1) * 3_600_000).toISOString()},60,200,${i % 17 === 5 ? "x" : 95 + (i % 10) / 10},LOT-${i % 3},Quay\n`;
  const readings = Array.from({ length: 17 }, (_, file) => [
    `checks-${file}.csv`,
    HEADER +
      Array.from({ length: 60 }, (_, i) => reading(Math.floor(file / 2), (file % 2) * 40 + i)).join(""),
  ]);
  return writeFiles(
    {
      "units.csv": `instrument,usage,site\n${Array.from({ length: 9 }, (_, i) => `U-${i},daily,Quay\n`).join("")}`,
      "lots.csv": "fluid_lot,certified_mpas,expires_on\nLOT-0,95,2026-12-31\nLOT-1,95,2026-03-31\n",
      "services.csv": "instrument,serviced_at,action\nU-1,2026-03-01,adjusted\nU-2,2026-03-01,polished\n",
      ...Object.fromEntries(readings),
    },
    folder,
  );
}
