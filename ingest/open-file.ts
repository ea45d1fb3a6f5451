import { canonicalNames } from "./columns/canonical-names.ts";
import { detectDecimal } from "./columns/detect-decimal.ts";
import { recogniseKind } from "./columns/recognise-kind.ts";
import { IngestError } from "./errors.ts";
import { type InspectedFile, inspectFile } from "./inspect-file.ts";
import type { Profile } from "./profile/profile.ts";
import { readHead } from "./read-records.ts";
import { type WayOfReading, writtenConstants } from "./way-of-reading.ts";

/** A file of which is known how it is to be read, and as what. */
export interface OpenedFile extends Omit<InspectedFile, "head" | "headIsAll">, WayOfReading {}

/**
 * Looks at a file and decides, once and for all of its rows, how it is read and what it holds.
 *
 * @throws {IngestError} where it cannot be read or its columns fit no kind.
 */
export async function openFile(path: string, profile: Profile): Promise<OpenedFile> {
  const { head, headIsAll, ...inspected } = await inspectFile(path, profile.form);
  const { columns, records } = readHead({ ...inspected, head, headIsAll }, ".");
  if (columns.length === 0 && inspected.form.name === "csv") {
    throw new IngestError(
      "line-too-long",
      `The first line is longer than ${head.length.toLocaleString("en")} characters: this is no table of readings.`,
    );
  }
  if (columns.length === 0) {
    throw new IngestError(
      "no-rows",
      "The file holds no objects that can be read: a JSON array of objects, or one object a line, is expected.",
    );
  }
  const names = canonicalNames(columns, profile.columns);
  const decimal = profile.decimal ?? detectDecimal(names, records, inspected.form.name !== "csv");
  const kind = recogniseKind([...names, ...Object.keys(profile.constants)]);
  return { ...inspected, profile, decimal, constants: writtenConstants(profile, decimal), kind };
}
