import type { ReadingColumn } from "../../columns/columns.ts";
import { REQUIRED_COLUMNS } from "../../columns/columns.ts";
import { parseNumber } from "../../columns/parse-number.ts";
import { numberedColumn } from "../../columns/reading-sets.ts";
import { inspectFile } from "../../inspect-file.ts";
import { readHead } from "../../read-records.ts";
import { STAGES, type Stage } from "../../store/store.ts";
import type { ProfileFile } from "../profile-schema.ts";
import { plain, STAGE_PARTS } from "./column-words.ts";
import { type DraftedColumn, draftColumns } from "./draft-columns.ts";
import { draftDates } from "./draft-dates.ts";

/** A profile as a file seems to need it, with what it rests on. */
export interface SuggestedProfile {
  readonly profile: ProfileFile;
  /** In the order of the file. */
  readonly columns: readonly DraftedColumn[];
  /** What a person has to look at, or to add. */
  readonly notes: readonly string[];
}

const ROWS_LOOKED_AT = 500;
const WITH_OFFSET = /(?:Z|[+-]\d{2}:?\d{2})$/i;

/**
 * Drafts a profile for a file of readings from its headers and first rows. Nothing is stored, and nothing written.
 *
 * @throws {IngestError} where the file cannot be read, is empty, or is no text.
 */
export async function suggestProfile(path: string): Promise<SuggestedProfile> {
  const file = await inspectFile(path);
  // Numbers of a JSON file are handed on as they are written; a comma there stands in a text.
  const head = readHead(file, ".");
  const values = head.columns.map((_, place) =>
    head.records.slice(0, ROWS_LOOKED_AT).map(({ fields }) => fields[place] ?? ""),
  );
  const decimal = decimalOf(values);
  const columns = draftColumns(head.columns, values, decimal);
  const valuesOf = (column: ReadingColumn) => valuesUnder(column, columns, values);

  const notes: string[] = [];
  const dates = draftDates(valuesOf("checked_at"));
  if (dates === null)
    notes.push("In no way that is known are its times written: give dates, such as dd.MM.yyyy HH:mm.");
  else if (dates.alsoFits !== null) {
    notes.push(`Its dates fit ${dates.format} and ${dates.alsoFits} alike: look which one the site means.`);
  }
  const times = valuesOf("checked_at");
  if (2 * times.filter((text) => WITH_OFFSET.test(text)).length < times.length) {
    notes.push("Its times carry no offset and would be taken as UTC: give time_zone, such as Europe/Berlin.");
  }
  const stages = stagesOf(valuesOf("stage"));
  for (const word of stages.unknown)
    notes.push(`The stage "${word}" is not known: say in stages which one it is.`);
  notes.push(...missing(columns), ...passedOver(columns));

  const profile: ProfileFile = {
    columns: Object.fromEntries(
      columns
        .filter(({ header, column }) => column !== null && column !== header.toLowerCase())
        .map(({ header, column }) => [header, column!]),
    ),
    units: Object.fromEntries(
      columns.flatMap(({ column, unit }) =>
        column === null || unit === null ? [] : [[numberedColumn(column)?.column ?? column, unit]],
      ),
    ),
    ...(file.form.name === "csv" && { delimiter: file.form.delimiter }),
    decimal,
    encoding: file.encoding,
    ...(dates?.format != null && { dates: dates.format }),
    stages: stages.words,
  };
  return { profile: withoutEmpty(profile), columns, notes };
}

function valuesUnder(
  column: ReadingColumn,
  columns: readonly DraftedColumn[],
  values: readonly (readonly string[])[],
): string[] {
  return columns
    .flatMap((draft, i) => (draft.column === column ? values[i]! : []))
    .map((text) => text.trim())
    .filter((text) => text !== "");
}

/** The mark with which more of the fields are numbers. */
function decimalOf(values: readonly (readonly string[])[]): "." | "," {
  const read = (decimal: "." | ",") =>
    values.flat().filter((text) => !Number.isNaN(parseNumber(text.trim(), decimal))).length;
  return read(",") > read(".") ? "," : ".";
}

function stagesOf(texts: readonly string[]): { words: Record<string, Stage>; unknown: string[] } {
  const words: Record<string, Stage> = {};
  const unknown: string[] = [];
  for (const word of new Set(texts)) {
    if ((STAGES as readonly string[]).includes(word.toLowerCase())) continue;
    const stage = (["as_found", "as_left", "routine"] as const).find((name) =>
      STAGE_PARTS[name].some((part) => plain(word).includes(part)),
    );
    if (stage === undefined) unknown.push(word);
    else words[word] = stage;
  }
  return { words, unknown };
}

function missing(columns: readonly DraftedColumn[]): string[] {
  const present = new Set(
    columns.map(({ column }) => (column === null ? "" : (numberedColumn(column)?.column ?? column))),
  );
  return REQUIRED_COLUMNS.readings
    .filter((choice) => !choice.some((column) => present.has(column)))
    .map(
      (choice) =>
        `No column was found for ${choice.join(" or ")}: map one, or give it in constants if it is always the same.`,
    );
}

function passedOver(columns: readonly DraftedColumn[]): string[] {
  const headers = columns.filter(({ column }) => column === null).map(({ header }) => `"${header}"`);
  return headers.length === 0 ? [] : [`Passed over: ${headers.join(", ")}.`];
}

function withoutEmpty(profile: ProfileFile): ProfileFile {
  return Object.fromEntries(
    Object.entries(profile).filter(([, value]) => typeof value !== "object" || Object.keys(value).length > 0),
  );
}
