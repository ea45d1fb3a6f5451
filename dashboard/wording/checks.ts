import type { Stage } from "../../analysis/index.ts";
import type { Flag } from "../../ingest/index.ts";
import type { UnitReading } from "../assessment/views.ts";
import type { ChecksPage } from "../page-models/checks.ts";
import { counted } from "./numbers.ts";

/** A routine check needs no remark. */
const STAGE: Readonly<Record<Stage, string | null>> = {
  routine: null,
  as_found: "as found",
  as_left: "as left",
};

const FLAG: Readonly<Record<Flag, string>> = {
  "temperature-off": "fluid off temperature",
  "torque-low": "under 10 % torque",
  "lot-expired": "lot past its date",
  "lot-unknown": "lot not registered",
  "looks-nominal": "nominal value, not the certified one",
  outlier: "apart from the rest of its check",
};

/** What is out of the ordinary about a reading: its stage, its flags, and whether trends leave it out. */
export function remarks({ stage, flags, use }: UnitReading): string {
  const words = [STAGE[stage], ...flags.map((flag) => FLAG[flag])].filter((word) => word !== null).join(", ");
  if (use > 0) return words;
  return words === "" ? "not used" : `${words}; not used`;
}

/** The head of the page of checks. */
export function checksHeading({ instrument, checks }: ChecksPage): string {
  return checks === 0
    ? `${instrument} has never been checked`
    : `${counted(checks, "check")} of ${instrument}`;
}

export const CHECKS_CAPTION =
  "Errors in % of full scale (FS); the own error is what is left when fluid lot and bath are taken away. A reading " +
  "in grey is not used in trends, and the remarks say why. The last column is where it came from.";

/** "readings.csv, lines 12 to 14": where a check's readings came from; the figures as CSV and JSON have each whole. */
export function sourceText(check: readonly UnitReading[]): string {
  const first = check[0]!;
  const lines = check.filter(({ file }) => file === first.file).map(({ line }) => line);
  const [from, to] = [Math.min(...lines), Math.max(...lines)];
  return `${fileName(first.file)}, ${from === to ? `line ${from}` : `lines ${from} to ${to}`}`;
}

function fileName(file: string): string {
  return file.slice(Math.max(file.lastIndexOf("/"), file.lastIndexOf("\\")) + 1);
}
