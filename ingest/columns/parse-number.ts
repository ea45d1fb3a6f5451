const WITH_POINT = /^[+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d{1,3})?$/;
const WITH_COMMA = /^[+-]?(?:\d+(?:,\d*)?|,\d+)(?:[eE][+-]?\d{1,3})?$/;

/**
 * Reads a number written with the given decimal mark, strictly.
 *
 * @remarks Separators of thousands, units and words are not taken: they would have to be guessed at.
 * @param text Without spaces around it.
 * @returns NaN where the text is no number, or one too large to keep.
 */
export function parseNumber(text: string, decimal: "." | ","): number {
  if (decimal === ".") return WITH_POINT.test(text) ? finite(Number(text)) : Number.NaN;
  return WITH_COMMA.test(text) ? finite(Number(text.replace(",", "."))) : Number.NaN;
}

function finite(value: number): number {
  return Number.isFinite(value) ? value : Number.NaN;
}
