import type { Column } from "./columns/columns.ts";
import { ISO_IN_UTC, type TimeStyle } from "./columns/parse-time.ts";
import type { GivenForm } from "./inspect-file.ts";
import type { Stage } from "./store/store.ts";

/** How one site's files are to be read. */
export interface Profile {
  /** Digest of what the profile says; empty where there is none. */
  readonly sha256: string;
  readonly form: GivenForm;
  readonly decimal: "." | "," | null;
  readonly times: TimeStyle;
  /** From a site's own header, as written, to a column's name. */
  readonly columns: ReadonlyMap<string, string>;
  /** From a number as written to the column's own unit. */
  readonly toOwnUnit: Readonly<Partial<Record<Column, (value: number) => number>>>;
  /** What stands in every row whose own field is empty. */
  readonly constants: Readonly<Partial<Record<Column, string>>>;
  /** A site's own words for stages, in lower case. */
  readonly stageWords: ReadonlyMap<string, Stage>;
}

export const NO_PROFILE: Profile = {
  sha256: "",
  form: {},
  decimal: null,
  times: ISO_IN_UTC,
  columns: new Map(),
  toOwnUnit: {},
  constants: {},
  stageWords: new Map(),
};
