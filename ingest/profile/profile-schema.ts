import { IANAZone } from "luxon";
import { z } from "zod";
import { COLUMNS, type Column } from "../columns/columns.ts";
import { numberedColumn } from "../columns/reading-sets.ts";
import { conversionFor, unitsOf } from "../columns/units.ts";
import { FILE_KINDS, STAGES } from "../store/store.ts";

const KNOWN_COLUMNS = new Set<string>(FILE_KINDS.flatMap((kind) => COLUMNS[kind]));

const column = z.string().refine((name) => KNOWN_COLUMNS.has(name), {
  error: ({ input }) => `"${input}" is not a column that is known`,
});

/** Also `reading_mpas_2`: a site's wide form under other headers. */
const columnOrNumbered = z
  .string()
  .refine((name) => KNOWN_COLUMNS.has(name) || numberedColumn(name) !== null, {
    error: ({ input }) => `"${input}" is not a column that is known`,
  });

const units = z.record(column, z.string()).superRefine((written, context) => {
  for (const [name, unit] of Object.entries(written)) {
    const possible = unitsOf(name as Column);
    if (conversionFor(name as Column, unit) !== null) continue;
    const message =
      possible.length === 0
        ? "has no unit"
        : `"${unit}" is not a unit of it; known are ${possible.join(", ")}`;
    context.addIssue({ code: "custom", path: [name], message });
  }
});

/** Other names of the encodings that are read; of UTF-16 without a side, the file's mark says which it is. */
const ENCODINGS: Readonly<Record<string, string | undefined>> = {
  utf8: "utf-8",
  "utf-16": undefined,
  utf16: undefined,
  "utf-16-le": "utf-16le",
  "utf-16-be": "utf-16be",
  cp1252: "windows-1252",
  latin1: "windows-1252",
  "iso-8859-1": "windows-1252",
};

function plainEncoding(written: unknown): unknown {
  if (typeof written !== "string") return written;
  const name = written.toLowerCase();
  return name in ENCODINGS ? ENCODINGS[name] : name;
}

/** What a profile file may say; every key is optional. */
export const profileSchema = z.strictObject({
  name: z.string().optional(),
  columns: z.record(z.string(), columnOrNumbered).optional(),
  units: units.optional(),
  decimal: z.enum([".", ","]).optional(),
  delimiter: z
    .string()
    .regex(/^[^"\r\n\p{L}\p{N}]$/u, {
      error: "must be one character that stands between fields, such as ; or a tab",
    })
    .optional(),
  encoding: z.preprocess(plainEncoding, z.enum(["utf-8", "utf-16le", "utf-16be", "windows-1252"]).optional()),
  dates: z.string().min(1).optional(),
  time_zone: z
    .string()
    .refine((zone) => IANAZone.isValidZone(zone), {
      error: ({ input }) => `"${input}" is not a time zone, such as Europe/Berlin`,
    })
    .optional(),
  constants: z.record(column, z.union([z.string(), z.number()])).optional(),
  stages: z.record(z.string(), z.enum(STAGES)).optional(),
});

export type ProfileFile = z.infer<typeof profileSchema>;
