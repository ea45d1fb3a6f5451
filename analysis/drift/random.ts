import { normalQuantile } from "../distributions/normal.ts";

/** A whole number from a text: FNV-1a, 32 bits (Fowler, Noll and Vo). */
export function hashText(text: string): number {
  let hash = 0x811c9dc5;
  for (let i = 0; i < text.length; i++) {
    hash ^= text.charCodeAt(i);
    hash = Math.imul(hash, 0x01000193);
  }
  return hash >>> 0;
}

/** The normal distribution's quantiles at evenly spaced probabilities: turns shares of 1 into normal values quickly. */
const TABLE_BITS = 14;
const TABLE_SIZE = 1 << TABLE_BITS;
const QUANTILES = Float64Array.from({ length: TABLE_SIZE }, (_, i) => normalQuantile((i + 0.5) / TABLE_SIZE));

/**
 * Random bits that are the same on every machine for one seed.
 *
 * Source: G. Marsaglia, Xorshift RNGs, Journal of Statistical Software 8 (2003), 32 bits, triple 13, 17, 5.
 */
class Bits {
  private x: number;

  constructor(seed: number) {
    this.x = seed | 0 || 1;
    // Small seeds need some rounds before their bits have spread.
    for (let i = 0; i < 8; i++) this.next();
  }

  next(): number {
    let x = this.x;
    x ^= x << 13;
    x ^= x >>> 17;
    x ^= x << 5;
    this.x = x;
    return x >>> 0;
  }
}

/** A stream of independent standard normal values. */
export class NormalStream {
  private readonly bits: Bits;

  constructor(seed: number) {
    this.bits = new Bits(seed);
  }

  next(): number {
    return QUANTILES[this.bits.next() >>> (32 - TABLE_BITS)]!;
  }
}

const PRIMES = [2, 3, 5, 7, 11, 13, 17, 19, 23, 29];

/**
 * Points that fill a many-dimensional standard normal distribution evenly.
 *
 * @remarks Each coordinate steps by an irrational share of the unit interval, the fraction of a prime's square root.
 * A few hundred such points tell a probability as well as twice as many random ones.
 *
 * Source: R. D. Richtmyer's sequence, in L. Kuipers and H. Niederreiter, Uniform Distribution of Sequences (1974).
 */
export class EvenNormals {
  private readonly share: Float64Array;
  private readonly step: Float64Array;

  /** @param dimensions At most as many as {@link PRIMES}. */
  constructor(dimensions: number, seed: number) {
    const bits = new Bits(seed);
    this.share = Float64Array.from({ length: dimensions }, () => bits.next() / 2 ** 32);
    this.step = Float64Array.from(PRIMES.slice(0, dimensions), (prime) => Math.sqrt(prime) % 1);
  }

  /** Writes the next point. */
  next(into: Float64Array): void {
    for (let j = 0; j < this.share.length; j++) {
      const share = (this.share[j]! + this.step[j]!) % 1;
      this.share[j] = share;
      into[j] = QUANTILES[Math.floor(share * TABLE_SIZE)]!;
    }
  }
}
