import type { RawRecord } from "../record.ts";
import { numberedColumn } from "./reading-sets.ts";
import { isNumeric } from "./units.ts";

const WITH_POINT = /^[+-]?\d*\.\d+(?:[eE][+-]?\d+)?$/;
const WITH_COMMA = /^[+-]?\d*,\d+(?:[eE][+-]?\d+)?$/;

/**
 * The decimal mark that most fractions in a file's numeric columns are written with; a point where there are none.
 *
 * @remarks Numbers of JSON have a mark of their own, which says nothing about the texts beside them.
 * @param names Canonical names of the columns.
 * @param records The first of the file.
 */
export function detectDecimal(
  names: readonly string[],
  records: readonly RawRecord[],
  isJson = false,
): "." | "," {
  const places = [...names.keys()].filter((place) => {
    const name = names[place]!;
    return isNumeric(numberedColumn(name)?.column ?? name);
  });
  let points = 0;
  let commas = 0;
  for (const { fields, raw } of records) {
    for (const place of places) {
      const field = fields[place] ?? "";
      if (isJson && !raw.includes(`"${field}"`)) continue;
      const text = field.trim();
      if (WITH_POINT.test(text)) points++;
      else if (WITH_COMMA.test(text)) commas++;
    }
  }
  return commas > points ? "," : ".";
}
