import type { Column } from "../columns/columns.ts";
import { ISO_IN_UTC, type TimeStyle } from "../columns/parse-time.ts";
import type { Conversion } from "../columns/units.ts";
import type { GivenForm } from "../inspect-file.ts";
import type { Stage } from "../store/store.ts";
import type { ProfileFile } from "./profile-schema.ts";

/** How one site's files are to be read. */
export interface Profile {
  /** As written, so that it can be kept and read again. */
  readonly written: ProfileFile;
  /** Digest of what the profile says; empty where there is none. */
  readonly sha256: string;
  readonly form: GivenForm;
  /** null: as detected. */
  readonly decimal: "." | "," | null;
  readonly times: TimeStyle;
  /** From a site's own header, as written, to a column's name. */
  readonly columns: ReadonlyMap<string, string>;
  readonly toOwnUnit: Readonly<Partial<Record<Column, Conversion>>>;
  /** What stands in every row whose own field is empty, in the file's own units. */
  readonly constants: Readonly<Partial<Record<Column, string | number>>>;
  /** A site's own words for stages, in lower case. */
  readonly stageWords: ReadonlyMap<string, Stage>;
}

/** Everything as the documentation has it, or as it is detected. */
export const NO_PROFILE: Profile = {
  written: {},
  sha256: "",
  form: {},
  decimal: null,
  times: ISO_IN_UTC,
  columns: new Map(),
  toOwnUnit: {},
  constants: {},
  stageWords: new Map(),
};
