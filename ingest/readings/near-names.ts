/**
 * Of the names that are registered, the one that another name was likely meant to be; null where none is, or several are.
 *
 * @remarks
 * Lots are often numbered in a row, so that another digit makes another lot. Near is only what differs in upper and lower
 * case, in signs between, in letters that look like digits, in two neighbours that changed places, or in one letter.
 * @example nearName("lot104", ["LOT-104", "LOT-105"]); // "LOT-104"
 */
export function nearName(name: string, registered: Iterable<string>): string | null {
  const near = [...registered].filter((other) => isNear(name, other));
  const [only, another] = near;
  return only !== undefined && another === undefined ? only : null;
}

function isNear(a: string, b: string): boolean {
  const [folded, other] = [fold(a), fold(b)];
  if (folded === other || isSwapped(folded, other)) return true;
  const digits = a.replace(/\D/g, "");
  return digits !== "" && digits === b.replace(/\D/g, "") && isOneLetterOff(lettersOf(a), lettersOf(b));
}

function fold(name: string): string {
  return name
    .toLowerCase()
    .replace(/[^\p{L}\p{N}]/gu, "")
    .replace(/o/g, "0")
    .replace(/[il]/g, "1");
}

function lettersOf(name: string): string {
  return name.toLowerCase().replace(/\P{L}/gu, "");
}

function isSwapped(a: string, b: string): boolean {
  if (a.length !== b.length) return false;
  const at = firstDifference(a, b);
  return a[at] === b[at + 1] && a[at + 1] === b[at] && a.slice(at + 2) === b.slice(at + 2);
}

/** One letter put in, left out or changed. */
function isOneLetterOff(a: string, b: string): boolean {
  const at = firstDifference(a, b);
  return [
    [at + 1, at + 1],
    [at + 1, at],
    [at, at + 1],
  ].some(([i, j]) => a.slice(i) === b.slice(j));
}

function firstDifference(a: string, b: string): number {
  let i = 0;
  while (i < a.length && a[i] === b[i]) i++;
  return i;
}
