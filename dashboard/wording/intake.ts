import type { FileReport, HeldState, IngestReport } from "../../ingest/index.ts";
import type { IntakePage } from "../page-models/intake.ts";
import { heldHeadline } from "./held.ts";
import { count, counted } from "./numbers.ts";

export const SEND_CAPTION =
  "Readings and registers as CSV, JSON or NDJSON, gzip too, each file wholly or not at all. Sending a file twice changes nothing. A profile (NAME.profile.json) sent along serves the file of its name.";

export const HELD_CAPTION =
  "Each row is kept word for word. Mend it from the record of the check, let it be read again when what was missing has come, or dismiss it with a reason.";

/** What is true of the intake now, as a sentence. */
export function intakeHeading({ waiting, allFiles }: IntakePage): string {
  if (allFiles === 0) return "No file has come in yet.";
  return heldHeadline(waiting);
}

/** What came of the files that were just sent. */
export function reportHeadline({ files, totals }: IngestReport): string {
  const failed = files.filter(({ error }) => error !== null).length;
  const parts = [
    `${counted(totals.accepted, "row")} taken in`,
    totals.repeated > 0 ? `${count(totals.repeated)} known already` : "",
    totals.quarantined > 0 ? `${count(totals.quarantined)} held back` : "",
    failed > 0 ? `${counted(failed, "file")} could not be read` : "",
  ].filter((part) => part !== "");
  return `${parts.join(", ")}.`;
}

/** "checks.csv: 12 rows taken in, 1 held back." */
export function fileOutcomeText(file: FileReport): string {
  if (file.error !== null) return `${file.file}: ${file.error}`;
  return `${file.file}: ${reportHeadline({ files: [file], totals: file })}`;
}

/** How the bytes of a file were understood; a profile overrules it. */
export function readAsText({ read_as: as }: FileReport): string {
  if (as === null) return "";
  const separators: Readonly<Record<string, string>> = { ",": "comma", ";": "semicolon", "\t": "tab" };
  const form = as.form === "csv" ? `CSV, ${separators[as.delimiter ?? ""] ?? as.delimiter}` : "JSON";
  return `${form}, ${as.encoding}, decimal ${as.decimal === "." ? "point" : "comma"}`;
}

/** "over-range 3, negative 1". */
export function tallyText(counts: Readonly<Record<string, number>>): string {
  return Object.entries(counts)
    .map(([code, n]) => `${code} ${count(n)}`)
    .join(", ");
}

export function heldTableHeading(state: HeldState, rows: number): string {
  switch (state) {
    case "held":
      return `Held back: ${counted(rows, "row")}`;
    case "accepted":
      return `Held back once and in use now: ${counted(rows, "row")}`;
    case "dismissed":
      return `Dismissed: ${counted(rows, "row")}`;
  }
}
