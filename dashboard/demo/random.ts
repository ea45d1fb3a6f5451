/**
 * The generator sfc32: small, fast, 128 bits of state of which one word is a counter, period at least 2^32.
 *
 * Source: C. Doty-Humphrey, PractRand (public domain).
 */
export class Sfc32 {
  private a: number;
  private b: number;
  private c: number;
  private counter: number;

  /** @param state Four words of 32 bits; the author starts the counter at 1 and throws twelve numbers away. */
  constructor(...state: readonly [a: number, b: number, c: number, counter: number]) {
    [this.a, this.b, this.c, this.counter] = state;
  }

  /** The next number, 0 to 2^32 - 1. */
  next(): number {
    const sum = (((this.a + this.b) | 0) + this.counter) | 0;
    this.counter = (this.counter + 1) | 0;
    this.a = this.b ^ (this.b >>> 9);
    this.b = (this.c + (this.c << 3)) | 0;
    this.c = (((this.c << 21) | (this.c >>> 11)) + sum) | 0;
    return sum >>> 0;
  }
}

/**
 * A seeded source of random numbers: the same seed and path give the same numbers on every machine.
 *
 * @remarks
 * The words of {@link Sfc32} come from a 32-bit form of SplitMix (Steele, Lea, Flood: Fast splittable pseudorandom
 * number generators, OOPSLA 2014), so that neighbouring seeds share nothing. For invented data, never for secrets.
 */
export class RandomSource {
  private readonly generator: Sfc32;
  /** The second normal number of a pair, kept for the next call; NaN when there is none. */
  private spare = Number.NaN;

  /**
   * @param seed Any integer.
   * @param path Integers that name a stream of its own, e.g. (unit, purpose).
   */
  constructor(seed: number, ...path: readonly number[]) {
    let state = seed | 0;
    for (const step of path) state = mix(state ^ mix(step));
    this.generator = new Sfc32(mix(state + GOLDEN), mix(state + 2 * GOLDEN), mix(state + 3 * GOLDEN), 1);
    for (let i = 0; i < 12; i++) this.generator.next();
  }

  /** Uniform in [0, 1), in steps of 2^-32. */
  uniform(): number {
    return this.generator.next() / 4294967296;
  }

  /** Uniform in [low, high). */
  between(low: number, high: number): number {
    return low + (high - low) * this.uniform();
  }

  /** True with probability `p`. */
  chance(p: number): boolean {
    return this.uniform() < p;
  }

  /** -1 or 1, equally likely. */
  sign(): number {
    return this.uniform() < 0.5 ? -1 : 1;
  }

  /** One member of a list that is not empty. */
  pick<T>(list: readonly T[]): T {
    return list[Math.floor(this.uniform() * list.length)] as T;
  }

  /** The first member, or with probability `share` any of them. */
  pickMostlyFirst<T>(list: readonly T[], share: number): T {
    return this.chance(share) ? this.pick(list) : (list[0] as T);
  }

  /** One member, with probability in proportion to its weight (weights need not add to 1). */
  pickWeighted<T>(list: readonly (readonly [T, number])[]): T {
    let left = this.uniform() * list.reduce((sum, [, weight]) => sum + weight, 0);
    for (const [member, weight] of list) {
      left -= weight;
      if (left < 0) return member;
    }
    return (list.at(-1) as readonly [T, number])[0];
  }

  /** Normal with mean 0 (polar method of Marsaglia and Bray, SIAM Review 6, 1964). */
  normal(sd = 1): number {
    if (!Number.isNaN(this.spare)) {
      const kept = this.spare;
      this.spare = Number.NaN;
      return kept * sd;
    }
    for (;;) {
      const u = 2 * this.uniform() - 1;
      const v = 2 * this.uniform() - 1;
      const square = u * u + v * v;
      if (square >= 1 || square === 0) continue;
      const factor = Math.sqrt((-2 * Math.log(square)) / square);
      this.spare = v * factor;
      return u * factor * sd;
    }
  }

  /** Normal with mean 0, drawn again until it lies within `limit` either way. */
  normalWithin(sd: number, limit: number): number {
    for (;;) {
      const value = this.normal(sd);
      if (Math.abs(value) <= limit) return value;
    }
  }
}

/** The odd number nearest to 2^32 over the golden ratio: the step of SplitMix. */
const GOLDEN = 0x9e3779b9;

/** The finishing mix of MurmurHash3 (A. Appleby, public domain), as splitmix32 uses it. */
function mix(word: number): number {
  let z = word | 0;
  z = Math.imul(z ^ (z >>> 16), 0x85ebca6b);
  z = Math.imul(z ^ (z >>> 13), 0xc2b2ae35);
  return z ^ (z >>> 16);
}

/**
 * Purposes of random numbers. Each has a stream of its own for each unit, so that a change in one (a check more, a day
 * later) leaves the others as they were: today's demo tells the same story as yesterday's.
 */
export const STREAM = {
  surroundings: 1,
  plan: 2,
  checks: 3,
  lives: 4,
  wander: 5,
  steps: 6,
  slips: 7,
} as const;
