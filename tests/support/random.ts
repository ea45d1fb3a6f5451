/** Seeded random numbers for simulations: the same seed gives the same run everywhere. */
export interface Random {
  /** Uniform, 0 to below 1. */
  uniform(): number;
  /** Standard normal. */
  normal(): number;
}

/** Mulberry32 (T. Ettinger, public domain), and Box and Muller's normal values. */
export function seededRandom(seed: number): Random {
  let state = seed | 0;
  const uniform = () => {
    state = (state + 0x6d2b79f5) | 0;
    let t = Math.imul(state ^ (state >>> 15), 1 | state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 2 ** 32;
  };
  // 1 - uniform is never 0, so that the logarithm is finite.
  const normal = () => Math.sqrt(-2 * Math.log(1 - uniform())) * Math.cos(2 * Math.PI * uniform());
  return { uniform, normal };
}
