/**
 * A plain table for the terminal: columns as wide as their widest cell, two spaces between.
 *
 * @param headings One a column; a leading ">" sets the column flush right.
 * @param rows Cells as text, one row each.
 */
export function textTable(headings: readonly string[], rows: readonly (readonly string[])[]): string {
  const right = headings.map((heading) => heading.startsWith(">"));
  const titles = headings.map((heading) => heading.replace(/^>/, ""));
  const widths = titles.map((title, i) => Math.max(title.length, ...rows.map((row) => row[i]?.length ?? 0)));
  const line = (cells: readonly string[]) =>
    widths
      .map((width, i) => (right[i] ? (cells[i] ?? "").padStart(width) : (cells[i] ?? "").padEnd(width)))
      .join("  ")
      .trimEnd();
  return [line(titles), widths.map((width) => "-".repeat(width)).join("  "), ...rows.map(line), ""].join(
    "\n",
  );
}
