import type { Highs, Model } from "highs";
import { addLinks, type BinaryProgram, createModel, type Link } from "./binary-model.ts";

export interface BinarySolution {
  /** 1 where a column is chosen; null where none was found in the time. */
  readonly chosen: Uint8Array | null;
  /** No choice costs less than this. */
  readonly bound: number;
  readonly seconds: number;
}

/** Values this near to a whole number are one: the solver's own tolerance. */
const WHOLE = 1e-6;

/** A link broken by less is left alone. */
const LINK_SLACK = 1e-4;
const MOST_LINK_ROUNDS = 20;

/** The first search takes the columns that cost up to this more than the relaxed optimum's. Unit: cost. */
const FIRST_BAND = 1;
const WIDER = 8;

/** An optimum counts as proven to this share of its cost. */
const RELATIVE_GAP = 1e-6;

/**
 * Solves a binary program: exactly where the time allows, else with a bound that says how far off it may be.
 *
 * @remarks
 * First the relaxation, in which columns may be chosen in part; links are added only where it breaks them. Its value L
 * is a bound, and any choice that holds a column of reduced cost d costs at least L + d. So the search among whole
 * choices needs only the columns with d up to some band: what it finds is optimal as soon as it costs no more than
 * L + band. A narrow band comes first, because that search is short; then the band that proves the optimum.
 *
 * Source: reduced-cost fixing, L. A. Wolsey, Integer Programming (1998), 7.5 (from memory). Solver: HiGHS.
 *
 * @param timeLimit Unit: seconds.
 * @returns null where nothing satisfies the rows.
 */
export function solveBinary(highs: Highs, program: BinaryProgram, timeLimit: number): BinarySolution | null {
  // The solver would take a sum over nothing for satisfied in a model without columns.
  if (program.rows.some(({ columns, lower }) => columns.length === 0 && lower > 0)) return null;
  const open = new Float64Array(program.cost.length).fill(1);
  const model = createModel(highs, { ...program, links: [] }, open, false);
  try {
    model.options.set({ output_flag: false, time_limit: timeLimit });
    const links = relax(highs, model, program);
    const seconds = model.getRunTime();
    const status = model.getModelStatus();
    if (status === highs.constants.modelStatus.infeasible) return null;
    if (status !== highs.constants.modelStatus.optimal) {
      return { chosen: null, bound: Number.NEGATIVE_INFINITY, seconds };
    }
    const { colValue, colDual } = model.getSolution();
    const least = model.getObjectiveValue();
    if (colValue.every((x) => Math.abs(x - Math.round(x)) <= WHOLE)) {
      return { chosen: Uint8Array.from(colValue, Math.round), bound: least, seconds };
    }
    return searchBands(highs, { ...program, links }, { least, reducedCost: colDual, seconds, timeLimit });
  } finally {
    model.dispose();
  }
}

/** Solves the relaxation, adding broken links until none is left; returns those added. */
function relax(highs: Highs, model: Model, { links, cost }: BinaryProgram): Link[] {
  const added = new Set<Link>();
  for (let round = 0; round < MOST_LINK_ROUNDS; round++) {
    model.run();
    if (model.getModelStatus() !== highs.constants.modelStatus.optimal) break;
    const { colValue } = model.getSolution();
    const broken = links.filter(
      (link) => !added.has(link) && colValue[link.column]! > colValue[link.opener]! + LINK_SLACK,
    );
    if (broken.length === 0) break;
    addLinks(model, broken, cost.length);
    for (const link of broken) added.add(link);
  }
  return [...added];
}

interface Relaxed {
  readonly least: number;
  /** By column. */
  readonly reducedCost: Float64Array;
  readonly seconds: number;
  readonly timeLimit: number;
}

function searchBands(
  highs: Highs,
  program: BinaryProgram,
  { least, reducedCost, seconds: spent, timeLimit }: Relaxed,
): BinarySolution | null {
  let seconds = spent;
  let chosen: Uint8Array | null = null;
  let cost = Number.POSITIVE_INFINITY;
  let bound = least;
  let band = FIRST_BAND;
  while (seconds < timeLimit) {
    const open = Float64Array.from(reducedCost, (d) => (d > band ? 0 : 1));
    const isAll = open.every((x) => x === 1);
    const model = createModel(highs, program, open, true);
    try {
      const left = timeLimit - seconds;
      const isLast = isAll || chosen !== null;
      model.options.set({
        output_flag: false,
        time_limit: isLast ? left : left / 2,
        mip_rel_gap: RELATIVE_GAP,
      });
      if (chosen !== null) model.setSolution({ colValue: Float64Array.from(chosen) });
      model.run();
      seconds += model.getRunTime();
      const beyond = isAll ? Number.POSITIVE_INFINITY : least + band;
      if (model.getModelStatus() === highs.constants.modelStatus.infeasible) {
        if (isAll) return null;
        bound = Math.max(bound, beyond);
      } else {
        bound = Math.max(bound, Math.min(Number(model.info.get("mip_dual_bound")), beyond));
        const found = model.getObjectiveValue();
        if (found < cost) {
          cost = found;
          chosen = Uint8Array.from(model.getSolution().colValue, Math.round);
        }
      }
    } finally {
      model.dispose();
    }
    if (isAll || cost - bound <= RELATIVE_GAP * Math.abs(cost)) break;
    // Anything better than what was found lies within this band; without anything found yet, look further.
    band = chosen === null ? band * WIDER : Math.max(band, cost - least);
  }
  return { chosen, bound: Math.min(bound, cost), seconds };
}
