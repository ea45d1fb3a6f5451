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

/**
 * Points that fill a many-dimensional standard normal distribution evenly.
 *
 * @remarks An additive recurrence: each coordinate steps by a fixed irrational share of the unit interval. A few
 * hundred such points tell a probability as well as twice as many random ones.
 *
 * Source: M. Roberts, The unreasonable effectiveness of quasirandom sequences (2018): the steps are the powers of
 * the root of x^(d+1) = x + 1.
 */
export class EvenNormals {
  private readonly share: Float64Array;
  private readonly step: Float64Array;

  constructor(dimensions: number, seed: number) {
    const bits = new Bits(seed);
    this.share = Float64Array.from({ length: dimensions }, () => bits.next() / 2 ** 32);
    let root = 1.5;
    for (let i = 0; i < 60; i++) root = (1 + root) ** (1 / (dimensions + 1));
    this.step = Float64Array.from({ length: dimensions }, (_, j) => root ** -(j + 1) % 1);
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
