import type { UnitState } from "./assessment.ts";
import { ImpossibleValueError } from "./errors.ts";

/** What a roll-up goes by. */
export const ROLLUP_KEYS = ["site", "modelClass", "state"] as const;
export type RollupKey = (typeof ROLLUP_KEYS)[number];

/** One unit's finished figures. */
export interface RollupRow {
  readonly site: string | null;
  readonly modelClass: string | null;
  readonly state: UnitState;
  /** Probability to be out now, and to have left tolerance before service; null where the unit cannot be judged. */
  readonly pOutNow: number | null;
  readonly pOutBeforeService: number | null;
  readonly overdueCheck: boolean;
}

/** Units that share a key. */
export interface RollupGroup {
  /** null: not recorded. */
  readonly key: string | null;
  readonly units: number;
  /** Units with a probability. */
  readonly judged: number;
  /** Over the judged units; null where there are none. */
  readonly meanPOutBeforeService: number | null;
  readonly highestPOutBeforeService: number | null;
  /** Units that are expected to be out of tolerance now, and to have left it before service: sums of probabilities. */
  readonly expectedOutNow: number;
  readonly expectedOutBeforeService: number;
  /** Share of the judged units that are out already, by their state; null where none is judged. */
  readonly shareOut: number | null;
  readonly overdueChecks: number;
}

/** The little of the table library that is used, in our own types: its own say next to nothing. */
interface TableLibrary {
  readonly DataFrame: new (
    columns: Readonly<Record<string, readonly (string | number)[]>>,
  ) => {
    groupby(keys: readonly string[]): {
      agg(operations: Readonly<Record<string, readonly string[]>>): {
        readonly columns: readonly string[];
        readonly values: readonly (readonly (string | number)[])[];
      };
    };
  };
}

const SUMS = ["units", "judged", "now", "before", "out", "overdue"] as const;

/**
 * Figures of units summed up by one key.
 *
 * @remarks
 * The table library is loaded on the first call (1.5 s, 100 MB). It is given a number in place of each key, since names
 * such as "__proto__" stop it, and finite numbers only: a unit without a probability counts 0 in the sums and is left
 * out of the means.
 *
 * @param rows One a unit. Shape: any length.
 * @param key What to go by.
 * @returns By key, those not recorded last; none for no rows.
 * @throws {ImpossibleValueError} for a probability outside 0 to 1.
 */
export async function rollUp(rows: readonly RollupRow[], key: RollupKey): Promise<RollupGroup[]> {
  if (rows.length === 0) return [];
  for (const { pOutNow, pOutBeforeService } of rows) {
    for (const p of [pOutNow, pOutBeforeService]) {
      if (p !== null && !(p >= 0 && p <= 1)) {
        throw new ImpossibleValueError("rollUp", "probability", "0 to 1", p);
      }
    }
  }
  const keys = [...new Set(rows.map((row) => row[key]))];
  const numberOf = new Map(keys.map((name, i) => [name, i]));

  const { DataFrame }: TableLibrary = await loadTables();
  const table = new DataFrame({
    group: rows.map((row) => `group ${numberOf.get(row[key])}`),
    units: rows.map(() => 1),
    judged: rows.map((row) => Number(row.pOutBeforeService !== null)),
    now: rows.map((row) => row.pOutNow ?? 0),
    before: rows.map((row) => row.pOutBeforeService ?? 0),
    out: rows.map((row) => Number(row.state === "out")),
    overdue: rows.map((row) => Number(row.overdueCheck)),
  });
  const { columns, values } = table.groupby(["group"]).agg({
    ...Object.fromEntries(SUMS.map((name) => [name, ["sum"]])),
    before: ["sum", "max"],
  });

  return values
    .map((line) => {
      const cell = (name: string) => line[columns.indexOf(name)];
      const number = (name: string) => Number(cell(name));
      const judged = number("judged_sum");
      return {
        key: keys[Number(String(cell("group")).replace("group ", ""))] ?? null,
        units: number("units_sum"),
        judged,
        meanPOutBeforeService: judged > 0 ? number("before_sum") / judged : null,
        highestPOutBeforeService: judged > 0 ? number("before_max") : null,
        expectedOutNow: number("now_sum"),
        expectedOutBeforeService: number("before_sum"),
        shareOut: judged > 0 ? number("out_sum") / judged : null,
        overdueChecks: number("overdue_sum"),
      };
    })
    .sort(byKey);
}

async function loadTables(): Promise<TableLibrary> {
  // Its published types do not fit its behaviour (agg's answer is untyped), hence the way over unknown.
  return (await import("danfojs-node")) as unknown as TableLibrary;
}

function byKey(a: RollupGroup, b: RollupGroup): number {
  if (a.key === null || b.key === null) return Number(a.key === null) - Number(b.key === null);
  return a.key < b.key ? -1 : 1;
}
