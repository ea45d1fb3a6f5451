import { canonicalNames } from "./columns/canonical-names.ts";
import { recogniseKind } from "./columns/recognise-kind.ts";
import { IngestError } from "./errors.ts";
import { type InspectedFile, inspectFile } from "./inspect-file.ts";
import type { Profile } from "./profile.ts";
import { readHead } from "./read-records.ts";
import type { FileKind } from "./store/store.ts";

/** A file of which is known how it is to be read, and as what. */
export interface OpenedFile extends Omit<InspectedFile, "head" | "headIsAll"> {
  readonly kind: FileKind;
  readonly profile: Profile;
  readonly decimal: "." | ",";
}

/**
 * Looks at a file and decides, once and for all of its rows, how it is read and what it holds.
 *
 * @throws {IngestError} where it cannot be read or its columns fit no kind.
 */
export async function openFile(path: string, profile: Profile): Promise<OpenedFile> {
  const inspected = await inspectFile(path, profile.form);
  const decimal = profile.decimal ?? ".";
  const { columns } = readHead(inspected, decimal);
  if (columns.length === 0) {
    throw new IngestError(
      "no-rows",
      "The file holds no objects that can be read: a JSON array of objects, or one object a line, is expected.",
    );
  }
  const names = canonicalNames([...columns, ...Object.keys(profile.constants)], profile.columns);
  const { head: _, headIsAll: __, ...file } = inspected;
  return { ...file, profile, decimal, kind: recogniseKind(names) };
}
