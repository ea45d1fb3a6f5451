import { toStored } from "./safe-text.ts";

const ESCAPES: Readonly<Record<string, string>> = { "\\": "\\\\", "\n": "\\n", "\r": "\\r", "\t": "\\t" };

/** A value in COPY's text form. Source: PostgreSQL documentation, COPY, "Text Format". */
export function copyField(value: string | number | null): string {
  if (value === null) return "\\N";
  return typeof value === "number"
    ? String(value)
    : toStored(value).replace(/[\\\n\r\t]/g, (character) => ESCAPES[character]!);
}
