import type { LifeChecks } from "./life-checks.ts";
import {
  ERROR_COLUMN,
  type FilteredLife,
  type LifeEvents,
  LifeFilter,
  type LifeNoise,
  OWN_COLUMNS,
  SHARED_ERROR,
  STATE,
} from "./life-filter.ts";
import { LifeSmoother } from "./life-smoother.ts";

/** Place of row i, column j (j <= i) in a lower triangle by rows. */
const at = (i: number, j: number) => (i * (i + 1)) / 2 + j;

/**
 * The shared effects of a life as further columns beside its own numbers.
 *
 * @remarks
 * A shared effect adds in proportion to all readings of a check, just as the error that they share does. So what the
 * way back knows about that one state in every check is all that is needed: with n its information together with the
 * four components, N that of itself, L the level that a column's earlier checks have left in the filter, and f its
 * factors, the products of columns c and d are sums over checks of f_c f_d N - f_d L_c'n - f_c L_d'n. A check has few
 * effects, so this costs a handful of numbers a check instead of a triangle of products a reading.
 *
 * Source: the shift of one state, P. de Jong and J. Penzer, JASA 93 (1998) 796-806, for every check and column at once.
 */
export class JointColumns implements FilteredLife {
  columns = OWN_COLUMNS;
  information = new Float64Array(0);
  /** Of the shared columns only what is known of the four components counts: an effect stands in for the fifth. */
  level = new Float64Array(0);
  /** Products of the shared columns, of which the matrix and its mirror image make up the whole. */
  private half = new Float64Array(0);
  /** How far a check's information pulls each shared column. */
  private pull = new Float64Array(0);
  private readonly filter: LifeFilter;
  private readonly smoother: LifeSmoother;

  constructor(filter = new LifeFilter(), smoother = new LifeSmoother()) {
    this.filter = filter;
    this.smoother = smoother;
  }

  get logVariance(): number {
    return this.filter.logVariance;
  }

  get used(): number {
    return this.filter.used;
  }

  get covariance(): Float64Array {
    return this.filter.covariance;
  }

  /** Filters a life there and back, and joins its shared effects. */
  run(life: LifeChecks, noise: LifeNoise, events: LifeEvents): void {
    this.filter.run(life, noise, events);
    this.smoother.run(life, this.filter);
    this.join(life);
  }

  /**
   * Joins the shared effects of the life that filter and smoother have just run over.
   *
   * @param taken What effects (by the fleet's numbers) had been taken from the errors that were filtered; it is put
   *   back, so that the error's column is that of the life's own errors.
   */
  join(life: LifeChecks, taken?: ArrayLike<number>): void {
    this.prepare(life);
    const { information, level, pull, half } = this;
    const { proportionalScore, proportionalInformation } = this.smoother;
    const { effectStart, effect, factor } = life;
    const k = life.effects.length;
    let active = 0;
    for (let check = 0; check < life.checks; check++) {
      const from = effectStart[check]!;
      const to = effectStart[check + 1]!;
      const n = check * STATE;
      const n0 = proportionalInformation[n]!;
      const n1 = proportionalInformation[n + 1]!;
      const n2 = proportionalInformation[n + 2]!;
      const n3 = proportionalInformation[n + 3]!;
      const itself = 0.5 * proportionalInformation[n + SHARED_ERROR]!;
      for (let c = 0, a = OWN_COLUMNS * STATE; c < active; c++, a += STATE) {
        pull[c] = level[a]! * n0 + level[a + 1]! * n1 + level[a + 2]! * n2 + level[a + 3]! * n3;
        level[a + SHARED_ERROR] = 0;
      }
      for (let e = from; e < to; e++) {
        const column = effect[e]!;
        const f = factor[e]!;
        const row = at(OWN_COLUMNS + column, 0);
        const score = check * OWN_COLUMNS;
        for (let c = 0; c < OWN_COLUMNS; c++) information[row + c]! += f * proportionalScore[score + c]!;
        const own = column * k;
        for (let c = 0; c < active; c++) half[own + c]! -= f * pull[c]!;
        for (let other = from; other < to; other++)
          half[own + effect[other]!]! += f * factor[other]! * itself;
      }
      for (let e = from; e < to; e++) {
        const column = effect[e]!;
        level[(OWN_COLUMNS + column) * STATE + SHARED_ERROR]! -= factor[e]!;
        if (column >= active) active = column + 1;
      }
      this.moveLevels(life, check, active);
    }
    for (let c = 0; c < k; c++) {
      const row = at(OWN_COLUMNS + c, OWN_COLUMNS);
      for (let d = 0; d <= c; d++) information[row + d] = half[c * k + d]! + half[d * k + c]!;
    }
    if (taken !== undefined) this.putBack(life, taken);
  }

  /** Carries the shared columns' levels through the gains of a check. */
  private moveLevels(
    { firstReading, span, curvature, friction }: LifeChecks,
    k: number,
    active: number,
  ): void {
    const { level } = this;
    const { gain, precision } = this.filter;
    for (let r = firstReading[k]!; r < firstReading[k + 1]!; r++) {
      if (precision[r] === 0) continue;
      const h1 = span[r]!;
      const h2 = curvature[r]!;
      const h3 = friction[r]!;
      const g = r * STATE;
      const k0 = gain[g]!;
      const k1 = gain[g + 1]!;
      const k2 = gain[g + 2]!;
      const k3 = gain[g + 3]!;
      const k4 = gain[g + 4]!;
      for (let a = OWN_COLUMNS * STATE; a < (OWN_COLUMNS + active) * STATE; a += STATE) {
        const l0 = level[a]!;
        const l1 = level[a + 1]!;
        const l2 = level[a + 2]!;
        const l3 = level[a + 3]!;
        const l4 = level[a + 4]!;
        const d = l0 + (l1 + l4) * h1 + l2 * h2 + l3 * h3;
        level[a] = l0 - k0 * d;
        level[a + 1] = l1 - k1 * d;
        level[a + 2] = l2 - k2 * d;
        level[a + 3] = l3 - k3 * d;
        level[a + 4] = l4 - k4 * d;
      }
    }
  }

  private putBack({ effects }: LifeChecks, taken: ArrayLike<number>): void {
    const { information, level, columns } = this;
    const errorRow = at(ERROR_COLUMN, 0);
    for (let c = OWN_COLUMNS; c < columns; c++) {
      const value = taken[effects[c - OWN_COLUMNS]!]!;
      const row = at(c, 0);
      for (let j = 0; j < ERROR_COLUMN; j++) information[errorRow + j]! += value * information[row + j]!;
      information[errorRow + ERROR_COLUMN]! += 2 * value * information[row + ERROR_COLUMN]!;
      for (let s = 0; s < SHARED_ERROR; s++)
        level[ERROR_COLUMN * STATE + s]! += value * level[c * STATE + s]!;
    }
    for (let c = OWN_COLUMNS; c < columns; c++) {
      let added = 0;
      for (let d = OWN_COLUMNS; d < columns; d++) {
        added += taken[effects[d - OWN_COLUMNS]!]! * information[d <= c ? at(c, d) : at(d, c)]!;
      }
      information[at(c, ERROR_COLUMN)]! += added;
      information[errorRow + ERROR_COLUMN]! += taken[effects[c - OWN_COLUMNS]!]! * added;
    }
  }

  private prepare(life: LifeChecks): void {
    const { filter } = this;
    const n = OWN_COLUMNS + life.effects.length;
    const size = at(n, 0);
    this.columns = n;
    if (this.information.length < size) {
      this.information = new Float64Array(size);
      this.level = new Float64Array(n * STATE);
      this.half = new Float64Array(life.effects.length ** 2);
      this.pull = new Float64Array(life.effects.length);
    }
    this.half.fill(0, 0, life.effects.length ** 2);
    this.information.fill(0, filter.information.length, size);
    this.information.set(filter.information);
    this.level.fill(0, filter.level.length, n * STATE);
    this.level.set(filter.level);
  }
}
