import type { FileReport, HeldExample, HeldState, IngestReport } from "../../ingest/index.ts";
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
  const dates = as.dates ?? "ISO 8601";
  return `${form}, ${as.encoding}, decimal ${as.decimal === "." ? "point" : "comma"}, dates ${dates}, ${as.time_zone} where they name no zone`;
}

/** "checks.csv, line 12, reading 2: ...": a held row as a report names it. */
export function heldExampleText({ line, part, message }: HeldExample, file: string): string {
  return `${file === "" ? "" : `${file}, `}line ${line}${part === 0 ? "" : `, reading ${part}`}: ${message}`;
}

/** The first held rows of each reason, over all files. @param most Rows of each; none at all where it is 0. */
export function firstHeldOf(
  { files }: IngestReport,
  most: number,
): readonly { reason: string; rows: readonly string[] }[] {
  const byReason = new Map<string, string[]>();
  for (const { file, first_held } of most === 0 ? [] : files) {
    for (const row of first_held) {
      const rows = byReason.get(row.reason) ?? [];
      if (rows.length < most) rows.push(heldExampleText(row, file));
      byReason.set(row.reason, rows);
    }
  }
  return [...byReason].map(([reason, rows]) => ({ reason, rows }));
}

/** How the files were understood, those that were understood alike together. */
export function readAsLines({ files }: IngestReport): string[] {
  const byWay = new Map<string, string[]>();
  for (const file of files) {
    const way = readAsText(file);
    if (way !== "") byWay.set(way, [...(byWay.get(way) ?? []), file.file]);
  }
  return [...byWay].map(
    ([way, [first, ...others]]) =>
      `${way}: ${first}${others.length === 0 ? "" : ` and ${counted(others.length, "other")}`}`,
  );
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
