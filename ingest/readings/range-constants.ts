import type { RangeUse } from "../store/store.ts";
import { detached } from "../text/detached.ts";

/** Constants closer than this are one: range tables are printed with 3 to 6 digits. */
const SAME_WITHIN = 0.01;

/** What a constant needs to be believed: checks that agree on it, and their share of the unit's checks. */
interface Belief {
  readonly checks: number;
  readonly share: number;
}

/** With its geometry a unit has one constant. */
const WITH_GEOMETRY: Belief = { checks: 3, share: 0.5 };
/** Where none is recorded, it may have been used with several. */
const WITHOUT_GEOMETRY: Belief = { checks: 5, share: 0.2 };

/** Different constants kept per unit and geometry; typing errors beyond that are only counted. */
const MAX_DIFFERENT = 32;

interface Uses {
  readonly needed: Belief;
  readonly constants: { constant: number; checks: number }[];
  total: number;
  lastCheck: number;
  /** What follows from the counts; null until asked for after they changed. */
  known: readonly number[] | null;
}

/** By instrument and geometry. */
export type RangesLearnt = Map<string, Map<string, Uses>>;

/**
 * What each unit's checks say about its full-scale range: speed x range is one constant per unit and geometry.
 *
 * @remarks
 * Learned from everything that is stored and that the files of a call bring, before any of it is judged, so that
 * neither the order of files nor a wrong first row counts: the constant that most checks agree on is the unit's own.
 */
export class RangeConstants {
  readonly #uses: Map<string, Map<string, Uses>>;
  #last: { readonly instrument: string; readonly geometry: string; readonly uses: Uses } | null = null;

  /** @param learnt What another one has {@link learnt}. */
  constructor(learnt: RangesLearnt = new Map()) {
    this.#uses = learnt;
  }

  /** Plain data, to be handed to another thread. */
  get learnt(): RangesLearnt {
    return this.#uses;
  }

  get instruments(): Iterable<string> {
    return this.#uses.keys();
  }

  /** @param check Running number of the check, from 0: readings of one check in a row count once. */
  learn(instrument: string, geometry: string, constant: number, check: number): void {
    const uses = this.#usesOf(instrument, geometry);
    const isNewCheck = uses.lastCheck !== check;
    uses.lastCheck = check;
    if (isNewCheck) count(uses, constant, 1);
    else if (!uses.constants.some((known) => agree(known.constant, constant))) count(uses, constant, 1);
  }

  learnStored(instrument: string, stored: readonly RangeUse[]): void {
    for (const { geometry, constant, checks } of stored) {
      count(this.#usesOf(instrument, geometry ?? ""), constant, checks);
    }
  }

  /** The constants that a unit is known to have, the commonest first; none where too little is known. */
  known(instrument: string, geometry: string): readonly number[] {
    const uses = this.#uses.get(instrument)?.get(geometry);
    if (uses === undefined) return [];
    uses.known ??= uses.constants
      .filter(({ checks }) => checks >= uses.needed.checks && checks > uses.needed.share * uses.total)
      .sort((a, b) => b.checks - a.checks)
      .map(({ constant }) => constant);
    return uses.known;
  }

  #usesOf(instrument: string, geometry: string): Uses {
    const last = this.#last;
    // The readings of a check, and the checks of a unit, follow each other.
    if (last !== null && last.instrument === instrument && last.geometry === geometry) return last.uses;
    let perGeometry = this.#uses.get(instrument);
    if (perGeometry === undefined) {
      perGeometry = new Map();
      this.#uses.set(detached(instrument), perGeometry);
    }
    let uses = perGeometry.get(geometry);
    if (uses === undefined) {
      uses = {
        needed: geometry === "" ? WITHOUT_GEOMETRY : WITH_GEOMETRY,
        constants: [],
        total: 0,
        lastCheck: -1,
        known: null,
      };
      perGeometry.set(detached(geometry), uses);
    }
    this.#last = { instrument: detached(instrument), geometry: detached(geometry), uses };
    return uses;
  }
}

function count(uses: Uses, constant: number, checks: number): void {
  uses.total += checks;
  uses.known = null;
  const known = uses.constants.find((other) => agree(other.constant, constant));
  if (known !== undefined) known.checks += checks;
  else if (uses.constants.length < MAX_DIFFERENT) uses.constants.push({ constant, checks });
}

function agree(a: number, b: number): boolean {
  return Math.abs(a - b) <= SAME_WITHIN * Math.max(a, b);
}
