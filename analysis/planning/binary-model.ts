import type { Highs, Model } from "highs";

/** Choose some of many: minimise the cost of the chosen columns under sums that must stay within limits. */
export interface BinaryProgram {
  readonly cost: readonly number[];
  readonly rows: readonly SumRow[];
  /**
   * A column may only be chosen together with its opener. The rows must say as much for whole choices already; said
   * one by one it also bounds choices in part, at the price of many rows.
   */
  readonly links: readonly Link[];
}

/** lower <= sum over the columns, each times its factor (1 where left out), <= upper. */
export interface SumRow {
  readonly columns: readonly number[];
  readonly factors?: readonly number[];
  readonly lower: number;
  readonly upper: number;
}

export interface Link {
  readonly column: number;
  readonly opener: number;
}

/**
 * The program in the solver's form. The caller disposes of it.
 *
 * @param columnUpper 0 closes a column, 1 leaves it open. Shape: columns.
 */
export function createModel(
  highs: Highs,
  { cost, rows, links }: BinaryProgram,
  columnUpper: Float64Array,
  isWhole: boolean,
): Model {
  const all = [...rows, ...links.map(linkRow)];
  const { lower, upper, matrix } = rowData(all, cost.length);
  const { integer, continuous } = highs.constants.variableType;
  return highs.createModel({
    numCols: cost.length,
    numRows: all.length,
    colCost: Float64Array.from(cost),
    colLower: new Float64Array(cost.length),
    colUpper: columnUpper,
    rowLower: lower,
    rowUpper: upper,
    matrix,
    integrality: new Int32Array(cost.length).fill(isWhole ? integer : continuous),
  });
}

/** Adds links to a model in the solver: one row each. */
export function addLinks(model: Model, links: readonly Link[], columns: number): void {
  model.addRows(rowData(links.map(linkRow), columns));
}

function linkRow({ column, opener }: Link): SumRow {
  return { columns: [column, opener], factors: [1, -1], lower: Number.NEGATIVE_INFINITY, upper: 0 };
}

function rowData(rows: readonly SumRow[], numCols: number) {
  const starts = new Int32Array(rows.length + 1);
  rows.forEach(({ columns }, r) => {
    starts[r + 1] = starts[r]! + columns.length;
  });
  const indices = new Int32Array(starts[rows.length]!);
  const values = new Float64Array(indices.length);
  rows.forEach(({ columns, factors }, r) => {
    indices.set(columns, starts[r]!);
    if (factors) values.set(factors, starts[r]!);
    else values.fill(1, starts[r]!, starts[r + 1]!);
  });
  return {
    lower: Float64Array.from(rows, (row) => row.lower),
    upper: Float64Array.from(rows, (row) => row.upper),
    matrix: { format: "csr", numRows: rows.length, numCols, starts, indices, values } as const,
  };
}
