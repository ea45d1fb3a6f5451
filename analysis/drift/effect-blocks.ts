import type { UnitChecks } from "../fleet.ts";
import { factoriseOrThrow, inverseFromFactor, solveLower, solveUpper } from "./cholesky.ts";
import type { EffectInformation } from "./shared-causes.ts";

/**
 * Effects that the units of one group (a site) touch: first those that no other group touches, then the rest.
 */
export interface EffectGroup {
  readonly name: string;
  readonly effects: Int32Array;
  readonly local: number;
}

/** Joint uncertainty of the effects of one group. */
export interface EffectBlock {
  readonly name: string;
  readonly effects: Int32Array;
  /** Row-major, in the order of `effects`. */
  readonly covariance: Float64Array;
}

/**
 * Estimates of all shared effects. No unit of a group touches effects outside its block, so that no other
 * covariances are kept.
 */
export class EffectEstimates {
  readonly value: Float64Array;
  readonly blocks: readonly EffectBlock[];
  /** Variance of the effects that no block holds, because no check was made with them. */
  private readonly untouched: ArrayLike<number>;
  private readonly blockNamed: ReadonlyMap<string, EffectBlock>;
  private readonly position: ReadonlyMap<EffectBlock, ReadonlyMap<number, number>>;
  private readonly holder: ReadonlyMap<number, EffectBlock>;

  constructor(value: Float64Array, blocks: readonly EffectBlock[], untouched: ArrayLike<number>) {
    this.value = value;
    this.blocks = blocks;
    this.untouched = untouched;
    this.blockNamed = new Map(blocks.map((block) => [block.name, block]));
    this.position = new Map(
      blocks.map((block) => [block, new Map(Array.from(block.effects, (effect, i) => [effect, i]))]),
    );
    this.holder = new Map(
      blocks.flatMap((block) =>
        Array.from(block.effects, (effect): [number, EffectBlock] => [effect, block]),
      ),
    );
  }

  variance(effect: number): number {
    return this.covariance([effect])[0]!;
  }

  /**
   * Covariance of some effects. Row-major, in their order.
   *
   * @param group The group whose block is asked; that of the first effect where left out or unknown. What lies
   *   outside the block is taken as independent of what lies in it.
   */
  covariance(effects: ArrayLike<number>, group?: string): Float64Array {
    const k = effects.length;
    const result = new Float64Array(k * k);
    const block = this.blockNamed.get(group ?? "") ?? this.holder.get(effects[0] ?? -1);
    const position = block && this.position.get(block);
    const size = block?.effects.length ?? 0;
    const place = Array.from(effects, (effect) => position?.get(effect));
    for (let e = 0; e < k; e++) {
      const row = place[e];
      if (row === undefined) {
        const holder = this.holder.get(effects[e]!);
        const at = holder && this.position.get(holder)!.get(effects[e]!)!;
        result[e * k + e] =
          at === undefined
            ? this.untouched[effects[e]!]!
            : holder!.covariance[at * holder!.effects.length + at]!;
        continue;
      }
      for (let f = 0; f < k; f++) {
        const column = place[f];
        if (column !== undefined) result[e * k + f] = block!.covariance[row * size + column]!;
      }
    }
    return result;
  }
}

/** The group of units that a unit's shared causes are solved with: its site. */
export function groupOf(unit: UnitChecks): string {
  return unit.site ?? "";
}

/**
 * Sorts effects by who touches them.
 *
 * @param touched Per unit: its group's name and the numbers of the effects that its checks share.
 */
export function groupEffects(
  touched: Iterable<{ readonly group: string; readonly effects: Iterable<number> }>,
): EffectGroup[] {
  const members = new Map<string, Set<number>>();
  const groupsOf = new Map<number, Set<string>>();
  for (const { group, effects } of touched) {
    if (!members.has(group)) members.set(group, new Set());
    for (const effect of effects) {
      members.get(group)!.add(effect);
      if (!groupsOf.has(effect)) groupsOf.set(effect, new Set());
      groupsOf.get(effect)!.add(group);
    }
  }
  return [...members].map(([name, all]) => {
    const sorted = [...all].sort((a, b) => a - b);
    const isLocal = (effect: number) => groupsOf.get(effect)!.size === 1;
    const local = sorted.filter(isLocal);
    return {
      name,
      effects: Int32Array.from([...local, ...sorted.filter((e) => !isLocal(e))]),
      local: local.length,
    };
  });
}

/** The equations for one group's effects, growing life by life. */
export class GroupEquations {
  /** Row-major, in the order of the group's effects. */
  readonly matrix: Float64Array;
  readonly vector: Float64Array;
  private readonly position: ReadonlyMap<number, number>;

  constructor({ effects }: EffectGroup) {
    this.matrix = new Float64Array(effects.length ** 2);
    this.vector = new Float64Array(effects.length);
    this.position = new Map(Array.from(effects, (effect, i) => [effect, i]));
  }

  /** Adds a life. */
  add({ effects, matrix, vector }: EffectInformation): void {
    const size = this.vector.length;
    const at = Int32Array.from(effects, (effect) => this.position.get(effect)!);
    const k = at.length;
    for (let e = 0; e < k; e++) {
      const row = at[e]! * size;
      this.vector[at[e]!]! += vector[e]!;
      for (let f = 0; f < k; f++) this.matrix[row + at[f]!]! += matrix[e * k + f]!;
    }
  }
}

/**
 * The fleet's equations for the shared effects, growing life by life, or by what several lives sum to.
 *
 * @remarks
 * Baths, operators and most lots are met at one site only. So the equations are kept site by site, and what is local
 * is eliminated first; only effects that join sites are solved for together. Exact, and of a cost that grows with
 * the number of sites and not with its cube.
 */
export class SharedSystem {
  private readonly effects: number;
  private readonly groups: readonly EffectGroup[];
  private readonly equations: ReadonlyMap<string, GroupEquations>;

  constructor(effects: number, groups: readonly EffectGroup[]) {
    this.effects = effects;
    this.groups = groups;
    this.equations = new Map(groups.map((group) => [group.name, new GroupEquations(group)]));
  }

  /** Adds a life of a unit of a group. */
  add(group: string, information: EffectInformation): void {
    this.equations.get(group)!.add(information);
  }

  /** Adds what some lives of a group come to; laid out as {@link GroupEquations}. */
  addSums(group: string, sums: Pick<GroupEquations, "matrix" | "vector">): void {
    const { matrix, vector } = this.equations.get(group)!;
    for (let i = 0; i < matrix.length; i++) matrix[i]! += sums.matrix[i]!;
    for (let i = 0; i < vector.length; i++) vector[i]! += sums.vector[i]!;
  }

  /**
   * Best linear unbiased prediction of the effects and its error's covariance, group by group.
   *
   * @param variance Prior variance of each effect; its prior mean is 0. Effects that no life touches stay there.
   * @throws {SingularDesignError} where a variance is not positive.
   */
  solve(variance: ArrayLike<number>): EffectEstimates {
    const joining = new Map<number, number>();
    for (const { effects, local } of this.groups) {
      for (const effect of effects.subarray(local))
        if (!joining.has(effect)) joining.set(effect, joining.size);
    }
    const n = joining.size;
    const joined = new Float64Array(n * n);
    const pull = new Float64Array(n);
    for (const [effect, i] of joining) joined[i * n + i] = 1 / variance[effect]!;
    const eliminated = this.groups.map((group) => {
      const { matrix, vector } = this.equations.get(group.name)!;
      return eliminateLocal(group, matrix, vector, variance, joining, joined, pull);
    });
    factoriseOrThrow(joined, n, "shared causes", "an effect has a prior variance that is not positive");
    solveLower(joined, n, pull);
    solveUpper(joined, n, pull);
    const covariance = inverseFromFactor(joined, n);

    const value = new Float64Array(this.effects);
    for (const [effect, i] of joining) value[effect] = pull[i]!;
    const blocks = eliminated.map((part) => restoreLocal(part, joining, pull, covariance, value));
    return new EffectEstimates(value, blocks, variance);
  }
}

interface EliminatedGroup {
  readonly group: EffectGroup;
  /** Cholesky factor L of the local part. */
  readonly factor: Float64Array;
  /** L^-1 times the local part of the right-hand side. */
  readonly pull: Float64Array;
  /** L^-1 times the columns that join local effects with each joining one; one row of `local` numbers each. */
  readonly cross: Float64Array;
}

function eliminateLocal(
  group: EffectGroup,
  matrix: Float64Array,
  vector: Float64Array,
  variance: ArrayLike<number>,
  joining: ReadonlyMap<number, number>,
  joined: Float64Array,
  joinedPull: Float64Array,
): EliminatedGroup {
  const { effects, local } = group;
  const size = effects.length;
  const outer = size - local;
  const n = joinedPull.length;
  const factor = new Float64Array(local * local);
  for (let i = 0; i < local; i++) {
    for (let j = 0; j <= i; j++) factor[i * local + j] = matrix[i * size + j]!;
    factor[i * local + i]! += 1 / variance[effects[i]!]!;
  }
  factoriseOrThrow(factor, local, "shared causes", "an effect has a prior variance that is not positive");
  const pull = vector.slice(0, local);
  solveLower(factor, local, pull);
  const cross = new Float64Array(outer * local);
  for (let a = 0; a < outer; a++) {
    for (let i = 0; i < local; i++) cross[a * local + i] = matrix[(local + a) * size + i]!;
    solveLower(factor, local, cross, a * local);
    const row = joining.get(effects[local + a]!)!;
    let right = vector[local + a]!;
    for (let i = 0; i < local; i++) right -= cross[a * local + i]! * pull[i]!;
    joinedPull[row]! += right;
    for (let b = 0; b <= a; b++) {
      let sum = matrix[(local + a) * size + local + b]!;
      for (let i = 0; i < local; i++) sum -= cross[a * local + i]! * cross[b * local + i]!;
      const column = joining.get(effects[local + b]!)!;
      joined[row * n + column]! += sum;
      if (row !== column) joined[column * n + row]! += sum;
    }
  }
  return { group, factor, pull, cross };
}

function restoreLocal(
  { group, factor, pull, cross }: EliminatedGroup,
  joining: ReadonlyMap<number, number>,
  joinedValue: Float64Array,
  joinedCovariance: Float64Array,
  value: Float64Array,
): EffectBlock {
  const { effects, local } = group;
  const size = effects.length;
  const outer = size - local;
  const n = joinedValue.length;
  const at = Int32Array.from(effects.subarray(local), (effect) => joining.get(effect)!);
  const own = Float64Array.from(pull);
  for (let a = 0; a < outer; a++) {
    for (let i = 0; i < local; i++) own[i]! -= cross[a * local + i]! * joinedValue[at[a]!]!;
  }
  solveUpper(factor, local, own);
  for (let i = 0; i < local; i++) value[effects[i]!] = own[i]!;

  // Cov(local, joining) = -M S, Cov(local) = B^-1 + M S M', with M = B^-1 C' and S the joining effects' covariance.
  const response = Float64Array.from(cross);
  for (let a = 0; a < outer; a++) solveUpper(factor, local, response, a * local);
  const covariance = new Float64Array(size * size);
  const put = (i: number, j: number, v: number) => {
    covariance[i * size + j] = v;
    covariance[j * size + i] = v;
  };
  for (let a = 0; a < outer; a++) {
    for (let b = 0; b <= a; b++) put(local + a, local + b, joinedCovariance[at[a]! * n + at[b]!]!);
  }
  for (let i = 0; i < local; i++) {
    for (let a = 0; a < outer; a++) {
      let sum = 0;
      for (let b = 0; b < outer; b++)
        sum -= response[b * local + i]! * covariance[(local + b) * size + local + a]!;
      put(i, local + a, sum);
    }
  }
  const inverse = inverseFromFactor(factor, local);
  for (let i = 0; i < local; i++) {
    for (let j = 0; j <= i; j++) {
      let sum = inverse[i * local + j]!;
      for (let a = 0; a < outer; a++) sum -= covariance[i * size + local + a]! * response[a * local + j]!;
      put(i, j, sum);
    }
  }
  return { name: group.name, effects, covariance };
}
