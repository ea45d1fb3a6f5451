import type { RangeUse } from "../store/store.ts";
import { detached } from "../text/detached.ts";

/** Constants closer than this are one: range tables are printed with 3 to 6 digits. */
const SAME_WITHIN = 0.01;

/** Checks that must agree before a unit's own constant is believed. */
const MIN_CHECKS = 5;

/** Share of a unit's checks that a constant needs: with a known geometry there is one; without, there may be several. */
const MIN_SHARE = 0.5;
const MIN_SHARE_WITHOUT_GEOMETRY = 0.2;

/** Different constants kept per unit and geometry; typing errors beyond that are only counted. */
const MAX_DIFFERENT = 32;

interface Uses {
  readonly geometryKnown: boolean;
  readonly constants: { constant: number; checks: number }[];
  total: number;
  lastCheck: number;
  /** What follows from the counts; null until asked for after they changed. */
  known: readonly number[] | null;
}

/**
 * What each unit's checks say about its full-scale range: speed x range is one constant per unit and geometry.
 *
 * @remarks
 * Learned from everything that is stored and that the files of a call bring, before any of it is judged, so that
 * neither the order of files nor a wrong first row counts: the constant that most checks agree on is the unit's own.
 */
export class RangeConstants {
  readonly #uses = new Map<string, Map<string, Uses>>();

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
    const share = uses.geometryKnown ? MIN_SHARE : MIN_SHARE_WITHOUT_GEOMETRY;
    uses.known ??= uses.constants
      .filter(({ checks }) => checks >= MIN_CHECKS && checks > share * uses.total)
      .sort((a, b) => b.checks - a.checks)
      .map(({ constant }) => constant);
    return uses.known;
  }

  #usesOf(instrument: string, geometry: string): Uses {
    let perGeometry = this.#uses.get(instrument);
    if (perGeometry === undefined) {
      perGeometry = new Map();
      this.#uses.set(detached(instrument), perGeometry);
    }
    let uses = perGeometry.get(geometry);
    if (uses === undefined) {
      uses = { geometryKnown: geometry !== "", constants: [], total: 0, lastCheck: -1, known: null };
      perGeometry.set(detached(geometry), uses);
    }
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
