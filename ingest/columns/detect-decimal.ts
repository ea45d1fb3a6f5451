import type { RawRecord } from "../record.ts";
import { numberedColumn } from "./reading-sets.ts";
import { isNumeric } from "./units.ts";

const WITH_POINT = /^[+-]?\d*\.\d+(?:[eE][+-]?\d+)?$/;
const WITH_COMMA = /^[+-]?\d*,\d+(?:[eE][+-]?\d+)?$/;

/**
 * The decimal mark that most fractions in a file's numeric columns are written with; a point where there are none.
 *
 * @param names Canonical names of the columns.
 * @param records The first of the file.
 */
export function detectDecimal(names: readonly string[], records: readonly RawRecord[]): "." | "," {
  const places = [...names.keys()].filter((place) => {
    const name = names[place]!;
    return isNumeric(numberedColumn(name)?.column ?? name);
  });
  let points = 0;
  let commas = 0;
  for (const { fields } of records) {
    for (const place of places) {
      const text = (fields[place] ?? "").trim();
      if (WITH_POINT.test(text)) points++;
      else if (WITH_COMMA.test(text)) commas++;
    }
  }
  return commas > points ? "," : ".";
}
