import { IngestError } from "../errors.ts";
import { FILE_KINDS, type FileKind } from "../store/store.ts";
import { COLUMNS, REQUIRED_COLUMNS } from "./columns.ts";
import { numberedColumn } from "./reading-sets.ts";

/** As many of a file's own column names as a line can bear. */
const MAX_NAMES_SHOWN = 20;
const MAX_NAME_LENGTH = 40;
const MAP_THEM = "A profile can map them: springtide ingest FILE --suggest-profile drafts one.";

/**
 * Tells from its columns what a file holds: the kind of which it has the most columns that no other kind has.
 *
 * @param names Canonical names, see `canonicalNames`; names that are no columns of ours are passed over.
 * @throws {IngestError} "unknown-columns" where they fit no kind, "missing-column" where a needed one is not there.
 */
export function recogniseKind(names: readonly string[]): FileKind {
  const present = new Set(names.map((name) => numberedColumn(name)?.column ?? name));
  const fits = FILE_KINDS.map((kind) => ({
    kind,
    count: tellingColumns(kind).filter((c) => present.has(c)).length,
  }));
  const best = fits.reduce((a, b) => (b.count > a.count ? b : a));
  if (best.count === 0) {
    throw new IngestError(
      "unknown-columns",
      `The columns fit no kind of file (${FILE_KINDS.join(", ")}). Found: ${list(names)}. ${MAP_THEM}`,
    );
  }
  const missing = REQUIRED_COLUMNS[best.kind].filter(
    (choice) => !choice.some((column) => present.has(column)),
  );
  if (missing.length > 0) {
    const wanted = missing.map((choice) => choice.join(" or ")).join(", ");
    throw new IngestError(
      "missing-column",
      `The file looks like ${best.kind}, but a column is missing: ${wanted}. Found: ${list(names)}. ${MAP_THEM}`,
    );
  }
  return best.kind;
}

/** Columns that a kind shares with no other. */
function tellingColumns(kind: FileKind): readonly string[] {
  const others = new Set<string>(
    FILE_KINDS.filter((other) => other !== kind).flatMap((other) => COLUMNS[other]),
  );
  return COLUMNS[kind].filter((column) => !others.has(column));
}

function list(names: readonly string[]): string {
  const shown = names.slice(0, MAX_NAMES_SHOWN).map((name) => printable(name));
  const more = names.length - shown.length;
  return shown.join(", ") + (more > 0 ? ` and ${more} more` : "");
}

function printable(name: string): string {
  const text = name.replace(/[\p{Cc}\p{Cf}\p{Cs}]/gu, "?");
  if (text === "") return "(no name)";
  return text.length > MAX_NAME_LENGTH ? `${text.slice(0, MAX_NAME_LENGTH)}…` : text;
}
