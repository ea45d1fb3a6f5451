import type { Column } from "./columns/columns.ts";
import type { FileForm } from "./inspect-file.ts";
import { toProfile } from "./profile/load-profile.ts";
import { NO_PROFILE, type Profile } from "./profile/profile.ts";
import type { ProfileFile } from "./profile/profile-schema.ts";
import type { KeptWay } from "./store/held.ts";
import type { FileKind } from "./store/store.ts";

/** How the rows of a file are read, decided once for all of them. */
export interface WayOfReading {
  readonly kind: FileKind;
  readonly form: FileForm;
  readonly decimal: "." | ",";
  readonly profile: Profile;
  /** What stands in every row whose own field is empty, written as the file would. */
  readonly constants: Readonly<Partial<Record<Column, string>>>;
}

/** A profile's constants as texts, numbers with the file's decimal mark. */
export function writtenConstants(profile: Profile, decimal: "." | ","): WayOfReading["constants"] {
  const written: Partial<Record<Column, string>> = {};
  for (const [column, value] of Object.entries(profile.constants)) {
    written[column as Column] = typeof value === "number" ? String(value).replace(".", decimal) : value;
  }
  return written;
}

/** A way of reading in the form in which it is kept beside held rows. */
export function keptWay({ kind, form, decimal, profile }: WayOfReading, columns: readonly string[]): KeptWay {
  return { kind, form, decimal, header: form.name === "csv" ? columns : [], profile: profile.written };
}

/** The way of reading that was kept. */
export function wayOf({ kind, form, decimal, profile: written }: KeptWay): WayOfReading {
  const profile = Object.keys(written).length === 0 ? NO_PROFILE : toProfile(written as ProfileFile);
  // Kept as it was read from the file, by this very program.
  return { kind, form: form as FileForm, decimal, profile, constants: writtenConstants(profile, decimal) };
}
