import { extname } from "node:path";

/** "a.csv", "a-2.csv", "a-3.csv": names for files that would be called the same. */
export function numberedName(name: string, n: number): string {
  if (n === 1) return name;
  const end = extname(name.replace(/\.gz$/i, "")) + (/\.gz$/i.exec(name)?.[0] ?? "");
  return `${name.slice(0, name.length - end.length)}-${n}${end}`;
}
