/**
 * PostgreSQL keeps every character but U+0000, and rows that are held back are kept word for word. A character of the
 * private use area stands before a letter that says which of the two was meant; all other text stays as it is.
 */
const MARK = "\uE000";

export function toStored(text: string): string {
  if (!text.includes("\0") && !text.includes(MARK)) return text;
  return text.replaceAll(MARK, `${MARK}m`).replaceAll("\0", `${MARK}0`);
}

export function fromStored(text: string): string {
  if (!text.includes(MARK)) return text;
  return text.replaceAll(`${MARK}0`, "\0").replaceAll(`${MARK}m`, MARK);
}
